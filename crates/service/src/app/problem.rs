//! Everything that stands between a job and its figures, gathered so that all of it is told at once.

use hod_domain::fault::Fault;

use crate::name::{Collection, Mixes};
use crate::refusal::{Lack, Missing, Refusal, Violation};

/// What is wrong, by kind.
#[derive(Debug, Default)]
pub struct Problems {
    /// With the job itself.
    pub job: Vec<Violation>,
    /// With other fields of the request.
    pub fields: Vec<Violation>,
    /// Named and not there.
    pub missing: Vec<Missing>,
    /// Not in the region, the library or the recipe.
    pub lacks: Vec<Lack>,
}

impl Problems {
    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.job.is_empty()
            && self.fields.is_empty()
            && self.missing.is_empty()
            && self.lacks.is_empty()
    }

    /// Sorts faults of the middle: those of a field are the job's, those of a resource are lacks. `root` is the field
    /// of the request that holds the job.
    pub fn add(&mut self, root: &str, faults: Vec<Fault>) {
        for fault in faults {
            if !fault.subject.is_empty() {
                let is_told = self
                    .lacks
                    .iter()
                    .any(|lack| lack.subject == fault.subject && lack.description == fault.message);
                if !is_told {
                    self.lacks.push(Lack {
                        reason: fault.reason,
                        subject: fault.subject,
                        description: fault.message,
                    });
                }
                continue;
            }
            let field = match fault.field.as_str() {
                "" => String::new(),
                field => format!("{root}.{field}"),
            };
            let is_told = |told: &Violation| told.field == field && !field.is_empty();
            if !self.job.iter().any(is_told) {
                self.job.push(Violation {
                    field,
                    reason: fault.reason,
                    description: fault.message,
                });
            }
        }
    }

    /// Sorts faults of a job that was measured with as much of its library as there is. That a name is not in it is no
    /// news where what is missing, or makes no recipe, has been told.
    pub fn add_measured(&mut self, root: &str, mut faults: Vec<Fault>) {
        if !self.missing.is_empty() || !self.lacks.is_empty() {
            faults.retain(|fault| fault.field.is_empty() || !fault.reason.ends_with("_UNKNOWN"));
        }
        self.add(root, faults);
    }

    /// Sorts what a job that was measured so lacks besides. That work comes without batches to count it by is no news
    /// where a mix is missing, or makes no recipe.
    pub fn add_lacks(&mut self, root: &str, mut faults: Vec<Fault>) {
        let is_mix = |missing: &Missing| missing.noun == Mixes::NOUN;
        if self.missing.iter().any(is_mix) || !self.lacks.is_empty() {
            faults.retain(|fault| fault.reason != "NOTHING_TO_COUNT");
        }
        self.add(root, faults);
    }

    /// Adds what was refused where it belongs here; gives back what is no problem of the request.
    pub fn add_refusal(&mut self, refusal: Refusal) -> Result<(), Refusal> {
        match refusal {
            Refusal::JobHasFaults(all) => self.job.extend(all),
            Refusal::Fields(all) => self.fields.extend(all),
            Refusal::NotFound(all, lacks) => {
                self.missing.extend(all);
                self.lacks.extend(lacks);
            }
            Refusal::LacksInputs(all) | Refusal::StandsAgainst(all) => self.lacks.extend(all),
            other => return Err(other),
        }
        Ok(())
    }

    /// All of it as one refusal, named after what has to be mended first; `None` when there is nothing.
    pub fn into_refusal(self) -> Option<Refusal> {
        if self.is_empty() {
            return None;
        }
        let Self {
            mut job,
            mut fields,
            missing,
            lacks,
        } = self;
        if job.is_empty() && fields.is_empty() {
            return Some(if missing.is_empty() {
                Refusal::LacksInputs(lacks)
            } else {
                Refusal::NotFound(missing, lacks)
            });
        }
        fields.extend(missing.into_iter().map(|missing| Violation {
            description: format!("there is no {} {}", missing.noun, missing.name),
            field: missing.field,
            reason: "NOT_FOUND",
        }));
        fields.extend(lacks.into_iter().map(|lack| Violation {
            field: String::new(),
            reason: lack.reason,
            description: format!("{}: {}", lack.subject, lack.description),
        }));
        if job.is_empty() {
            return Some(Refusal::Fields(fields));
        }
        job.extend(fields);
        Some(Refusal::JobHasFaults(job))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn missing() -> Missing {
        Missing {
            field: "job.mix".into(),
            noun: "mix",
            name: "mixes/a".into(),
        }
    }

    #[test]
    fn what_is_refused_is_named_after_what_has_to_be_mended_first_and_nothing_is_left_out() {
        let mut problems = Problems::default();
        assert!(problems.is_empty());
        problems.add(
            "job",
            vec![
                Fault::of_resource("regions/a", "NO_PRICE_IN_FORCE", "no price of sand"),
                Fault::of_field("walls[0].height_m", "NOT_POSITIVE", "height_m is 0"),
            ],
        );
        problems.missing.push(missing());
        let Some(Refusal::JobHasFaults(all)) = problems.into_refusal() else {
            panic!("the job comes first");
        };
        let told: Vec<(&str, &str)> = all.iter().map(|v| (v.field.as_str(), v.reason)).collect();
        assert_eq!(
            told,
            [
                ("job.walls[0].height_m", "NOT_POSITIVE"),
                ("job.mix", "NOT_FOUND"),
                ("", "NO_PRICE_IN_FORCE")
            ]
        );
    }

    #[test]
    fn that_a_name_is_not_in_the_library_is_told_once_where_it_is_missing() {
        let unknown = || {
            vec![
                Fault::of_field("finishes[0].coats[1]", "MIX_UNKNOWN", "no such mix"),
                Fault::of_field("floors[0].inside", "UNKNOWN_WALL", "no such wall"),
            ]
        };
        let idle = || {
            vec![Fault::of_resource(
                "labourConstants/a",
                "NOTHING_TO_COUNT",
                "no batch",
            )]
        };
        let mut whole = Problems::default();
        whole.add_measured("job", unknown());
        whole.add_lacks("job", idle());
        assert_eq!((whole.job.len(), whole.lacks.len()), (2, 1));

        let mut problems = Problems::default();
        problems.missing.push(missing());
        problems.add_measured("job", unknown());
        problems.add_lacks("job", idle());
        let told: Vec<&str> = problems.job.iter().map(|fault| fault.reason).collect();
        assert_eq!((told, problems.lacks.len()), (vec!["UNKNOWN_WALL"], 0));
    }

    #[test]
    fn what_is_missing_and_what_is_lacking_are_told_together() {
        let mut problems = Problems::default();
        problems.missing.push(missing());
        let lack = Fault::of_resource("labourConstants", "NO_LABOUR_CONSTANT", "none by moonlight");
        problems.add_lacks("job", vec![lack]);
        let Some(Refusal::NotFound(missing, lacks)) = problems.into_refusal() else {
            panic!("what is missing comes first");
        };
        assert_eq!((missing.len(), lacks.len()), (1, 1));
    }

    #[test]
    fn a_lack_that_two_steps_find_is_told_once() {
        let lack = || Fault::of_resource("regions/a", "NO_PRICE_IN_FORCE", "no price of sand");
        let mut problems = Problems::default();
        problems.add("job", vec![lack(), lack()]);
        assert_eq!(problems.lacks.len(), 1);
    }
}

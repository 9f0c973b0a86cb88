//! The hours of an estimate by task and grade, and what they cost.

use hod_wire::v1::{LabourLine, Task};

use crate::render::figure::{hours, sum};
use crate::render::record::Record;
use crate::render::table::{Side, Table};
use crate::text::plain;
use crate::word;

/// A row to each task in the order of the work, a column to each grade, hours and money at the end.
pub(super) fn hours_table(labour: &[LabourLine], currency: &str) -> Table {
    let mut grades: Vec<&str> = Vec::new();
    for line in labour {
        if !grades.contains(&line.grade.as_str()) {
            grades.push(&line.grade);
        }
    }
    let amount = format!("Amount {}", plain(currency));
    let grade_headings: Vec<String> = grades
        .iter()
        .map(|grade| format!("{} h", plain(grade)))
        .collect();
    let mut headings = vec![("Hours by task", Side::Left)];
    headings.extend(
        grade_headings
            .iter()
            .map(|heading| (heading.as_str(), Side::Right)),
    );
    headings.extend([("All h", Side::Right), (amount.as_str(), Side::Right)]);

    let mut table = Table::new(&headings);
    for task in labour.chunk_by(|one, next| one.task == next.task) {
        let name = task
            .first()
            .map_or(String::new(), |line| task_name(line.task));
        table.row(hours_row(&name, task, &grades));
    }
    let all: Vec<&LabourLine> = labour.iter().collect();
    table.rule().row(hours_row_of("Total", &all, &grades));
    table
}

fn hours_row(name: &str, lines: &[LabourLine], grades: &[&str]) -> Vec<String> {
    hours_row_of(name, &lines.iter().collect::<Vec<_>>(), grades)
}

fn hours_row_of(name: &str, lines: &[&LabourLine], grades: &[&str]) -> Vec<String> {
    let of_grade = |grade: &str| -> Vec<&str> {
        lines
            .iter()
            .filter(|line| line.grade == grade)
            .map(|line| line.hours.as_str())
            .collect()
    };
    let mut cells = vec![name.to_owned()];
    for grade in grades {
        let figures = of_grade(grade);
        cells.push(if figures.is_empty() {
            String::new()
        } else {
            sum(figures).map(|sum| hours(&sum)).unwrap_or_default()
        });
    }
    let all_hours = sum(lines.iter().map(|line| line.hours.as_str()));
    cells.push(all_hours.map(|sum| hours(&sum)).unwrap_or_default());
    cells.push(sum(lines.iter().map(|line| line.amount.as_str())).unwrap_or_default());
    cells
}

/// What a task is called in a sentence or a table: as the lines of the estimate call it.
fn task_name(task: i32) -> String {
    match Task::try_from(task) {
        Ok(Task::FillTrench) => "fill the trench".to_owned(),
        Ok(Task::LayStem) => "lay the stem wall".to_owned(),
        Ok(Task::SetForm) => "set forms".to_owned(),
        Ok(Task::SetOpening) => "set openings".to_owned(),
        Ok(Task::FormArch) => "form arches".to_owned(),
        Ok(Task::LayFloor) => "lay floors".to_owned(),
        Ok(Task::BuildOven) => "build ovens".to_owned(),
        _ => word::of::<Task>(task).replace('-', " "),
    }
}

pub(super) fn labour_record(line: &LabourLine) -> Record {
    Record::new()
        .word::<Task>("task", line.task)
        .text("grade", &line.grade)
        .text("hours", &line.hours)
        .text("amount", &line.amount)
}

//! What was asked of the server and what it answered: the answers by name and hash, and what went unanswered, so that it
//! can be asked again. How a call is made is for `firm`.

use std::collections::BTreeMap;
use std::sync::{Mutex, MutexGuard};

use hod_wire::v1::{CreateEstimateRequest, CreateJobRequest, CreatePriceRequest};
use tonic::Code;

use crate::firm::Firm;

/// A call that makes something, under an id of its own.
#[derive(Debug, Clone)]
pub enum Asked {
    /// A job.
    Job(Box<CreateJobRequest>),
    /// A price.
    Price(Box<CreatePriceRequest>),
    /// An estimate of a job.
    Estimate(CreateEstimateRequest),
}

/// What a call makes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Noun {
    /// A job.
    Job,
    /// A price.
    Price,
    /// An estimate.
    Estimate,
}

impl Asked {
    /// The id under which it acts once.
    pub fn request_id(&self) -> &str {
        match self {
            Self::Job(request) => &request.request_id,
            Self::Price(request) => &request.request_id,
            Self::Estimate(request) => &request.request_id,
        }
    }

    fn noun(&self) -> Noun {
        match self {
            Self::Job(_) => Noun::Job,
            Self::Price(_) => Noun::Price,
            Self::Estimate(_) => Noun::Estimate,
        }
    }
}

/// An answer: the server has said that it is kept.
#[derive(Debug, Clone)]
pub struct Acknowledged {
    /// Its resource name.
    pub name: String,
    /// Of all of it.
    pub sha256: [u8; 32],
}

/// All that was asked and answered.
#[derive(Debug, Default)]
pub struct Ledger(Mutex<Pages>);

#[derive(Debug, Default)]
struct Pages {
    acknowledged: Vec<Acknowledged>,
    unanswered: BTreeMap<String, Asked>,
    asked: BTreeMap<Noun, usize>,
    interrupted: usize,
}

impl Ledger {
    /// Asks; the name of what was made, or `None` when the server was gone before it answered. A refusal is a fault of
    /// the story.
    pub async fn ask(&self, firm: &Firm, asked: Asked) -> Option<String> {
        {
            let mut pages = self.pages();
            *pages.asked.entry(asked.noun()).or_default() += 1;
            pages
                .unanswered
                .insert(asked.request_id().to_owned(), asked.clone());
        }
        match firm.make(&asked).await {
            Ok(answer) => Some(self.note(&asked, answer)),
            Err(status) => {
                let gone = [
                    Code::Unavailable,
                    Code::Unknown,
                    Code::Cancelled,
                    Code::Internal,
                ];
                assert!(
                    gone.contains(&status.code()),
                    "{asked:?} was refused: {status:?}"
                );
                None
            }
        }
    }

    /// Asks everything again that went unanswered. Whether it was kept or not, it is there once from now on.
    pub async fn ask_again(&self, firm: &Firm) {
        let unanswered: Vec<Asked> = self.pages().unanswered.values().cloned().collect();
        self.pages().interrupted += unanswered.len();
        for asked in unanswered {
            let answer = firm.make(&asked).await;
            self.note(
                &asked,
                answer.unwrap_or_else(|status| panic!("{asked:?}, asked again: {status:?}")),
            );
        }
    }

    /// Every answer so far, in the order in which they came.
    pub fn acknowledged(&self) -> Vec<Acknowledged> {
        self.pages().acknowledged.clone()
    }

    /// How many of a noun were ever asked for.
    pub fn asked(&self, noun: Noun) -> usize {
        self.pages().asked.get(&noun).copied().unwrap_or_default()
    }

    /// How many calls the server did not live to answer.
    pub fn interrupted(&self) -> usize {
        self.pages().interrupted
    }

    fn note(&self, asked: &Asked, answer: Acknowledged) -> String {
        let mut pages = self.pages();
        let name = answer.name.clone();
        pages.unanswered.remove(asked.request_id());
        pages.acknowledged.push(answer);
        name
    }

    fn pages(&self) -> MutexGuard<'_, Pages> {
        self.0.lock().unwrap()
    }
}

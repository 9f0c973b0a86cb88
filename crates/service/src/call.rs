//! One call: whose it is, until when it may take, and the place that it holds among all calls. Put together at the
//! door and carried to whatever does the work; nothing of the wire is in it.

use std::sync::Arc;
use std::time::{Duration, Instant};

use hod_store::FirmId;
use tokio::sync::OwnedSemaphorePermit;

use crate::limits::TIME_USUAL;
use crate::refusal::Refusal;

/// One call.
#[derive(Debug, Clone)]
pub struct Call {
    /// Whose data it is about.
    pub firm: FirmId,
    /// Until when an answer is waited for.
    pub deadline: Deadline,
    /// The place among all calls; given back with the last copy of this.
    pub place: Arc<OwnedSemaphorePermit>,
}

/// Until when an answer is waited for.
#[derive(Debug, Clone, Copy)]
pub struct Deadline {
    /// The instant after which nobody waits.
    pub at: Instant,
    /// Whether the caller set it, and not the server for want of one. A stream ends by the caller's alone.
    pub is_the_callers: bool,
}

impl Call {
    /// The same call once a long upload is over: its time begins anew where the caller set no deadline.
    pub fn renewed(&self) -> Self {
        let mut call = self.clone();
        if !call.deadline.is_the_callers {
            call.deadline.at = Instant::now() + TIME_USUAL;
        }
        call
    }

    /// What is left of its time; refused when that is nothing.
    pub fn time_left(&self) -> Result<Duration, Refusal> {
        let left = self.deadline.at.saturating_duration_since(Instant::now());
        if left.is_zero() {
            Err(Refusal::DeadlineExceeded)
        } else {
            Ok(left)
        }
    }
}

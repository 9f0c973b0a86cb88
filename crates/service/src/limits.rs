//! The limits that every call and connection meets, in one place. What a job or a text may hold is in `decode`; how
//! many calls and connections there are at once is a setting.

use std::time::Duration;

/// Most bytes of a message, either way.
pub const MESSAGE_BYTES_MAX: usize = 4 * 1024 * 1024;

/// Most calls at once on one connection.
pub const STREAMS_MAX: u32 = 200;

/// Most bytes of the headers of a call.
pub const HEADER_BYTES_MAX: u32 = 16 * 1024;

/// How often a silent client is asked whether it is still there.
pub const ALIVE_EVERY: Duration = Duration::from_secs(30);

/// How long it may take to say so.
pub const ALIVE_WITHIN: Duration = Duration::from_secs(10);

/// After this a connection is asked to close once its calls are done, so that clients spread over servers again.
pub const CONNECTION_AGE_MAX: Duration = Duration::from_secs(30 * 60);

/// How long a call may take whose caller set no deadline.
pub const TIME_USUAL: Duration = Duration::from_secs(60);

/// How long one statement of a change of many prices may take when the caller set no deadline: a million rows come in a
/// few statements, and on a busy machine each takes its time.
pub const STATEMENT_TIME_LONG: Duration = Duration::from_secs(10 * 60);

/// The longest deadline that is taken at its word.
pub const TIME_MAX: Duration = Duration::from_secs(3600);

/// How long a stream of questions may bring none before it is ended.
pub const STREAM_IDLE_MAX: Duration = Duration::from_secs(120);

/// How many questions of a stream are worked on at once; no more are held in memory.
pub const STREAM_JOBS_MAX: usize = 4;

/// How long calls in flight may go on once the server is to end.
pub const DRAIN_TIME_MAX: Duration = Duration::from_secs(25);

/// From this many walls a job is measured off the threads that answer calls: it would hold up the others.
pub const WALLS_OFF_THREAD: usize = 100;

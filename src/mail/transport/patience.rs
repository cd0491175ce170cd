//! How long each step of a delivery may take.

use std::time::Duration;

/// How long each step may take.
#[derive(Debug, Clone, Copy)]
pub struct Patience {
    /// Connecting, and each command until its reply.
    pub command: Duration,
    /// The text, until its final dot.
    pub text: Duration,
    /// The reply to the final dot. A relay that is cut off here may have accepted
    /// the message, so this is long.
    pub after_dot: Duration,
    /// The same once the program is to stop.
    pub at_stop: Duration,
}

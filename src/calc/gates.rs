//! Go or no-go on burn day: gates, their readings, and who signed.
//!
//! A gate is something that must be right before the fire is lit: the wind, a charged line, the
//! crowd behind its line. Its readings give it a light. The decision follows from the lights and
//! from what people signed; common practice, no source:
//!
//! - **Go** takes two different people: the safety officer, and the burn boss or the incident
//!   commander. No gate may be red, missing, or stale.
//! - **Amber is a hold.** Read it again. If it is still amber, the safety officer may go with a
//!   written reason.
//! - **One signature is enough** for hold or no, of the safety officer, the burn boss, or the
//!   incident commander. It voids every earlier go, and a later go takes both again. A no stays
//!   until both have signed go after it, a hold in between changes nothing about that. If the burn
//!   is moved to another day, that day starts without signatures.
//! - **A go is for what its signer saw.** It is void once a gate gets worse than that, also if the
//!   gate gets better again. If both had signed go, the decision is a hold as long as the gate is
//!   worse, and then open.
//! - **Anybody on the crew can call stop.** That is not a signature.
//!
//! What is left to decide here, decided on the careful side:
//!
//! - Staleness makes no go void, because the fire may be lit by then. It only keeps people from
//!   signing another.
//! - Red stays red when it is stale. Amber that is stale is amber to be read again.
//! - A gate that its signer hasn't seen is worse than what they saw.
//! - In the same second, a hold or no comes after a go.
//!
//! Times are seconds since 1970 in UTC.

mod light;
mod press;
mod verdict;

pub use light::{Gate, GateNow, Grade, Kind, Light, Reading, Turn, Value, Why, Worse, light, snapshot};
pub use press::{Refused, may_sign};
pub use verdict::{Because, Role, Says, Signature, Verdict, Wanted, may_stop, verdict, wanted};

#[cfg(test)]
mod tests;

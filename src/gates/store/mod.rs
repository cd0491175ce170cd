//! All SQL of gates and decisions.

mod entry;
mod gates;
mod lights;
mod readings;
mod signatures;
mod times;

pub use gates::{add, adopt, of_event, remove, save};
pub use readings::{add_reading, readings};
pub use signatures::{NewSignature, overtake, sign, signatures};
pub use times::{save_times, times};

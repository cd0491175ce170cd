//! The proposal in words.

mod changes;
mod dates;
mod people_to_ask;
mod positions;
mod speaker;

pub(super) use changes::ChangeLine;
pub(super) use dates::DateView;
pub(super) use people_to_ask::StandbyLine;
pub(super) use positions::PostLine;
pub(super) use speaker::Words;

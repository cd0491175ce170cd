//! Asking people: the form with the question and the dates, the emails as they would go
//! out, and how many were asked. Whoever asks says whom, and what stands under the question.

pub(super) mod again;
mod asked;
mod form;
pub(super) mod page;
mod part;

pub use asked::Asked;
pub use form::{Choosing, QuestionForm};
pub use page::FACTS;
pub use part::{AskingPart, Preview, Recipient};

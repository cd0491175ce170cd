//! What people should learn.

/// A lesson has three to five objectives: common practice, no source.
pub const OBJECTIVES: std::ops::RangeInclusive<usize> = 3..=5;

/// Something that people should know or be able to do afterward, with the message that says
/// it and the question that measures it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Objective {
    pub id: i64,
    pub text: String,
    pub message: String,
    /// Where the message is from, and which edition of it.
    pub source: String,
    pub edition: String,
    /// The question on the survey card.
    pub item: String,
    /// The press may have the message.
    pub is_for_press: bool,
    pub version: i64,
}

impl Objective {
    /// A message without a source doesn't go to the press.
    pub(super) fn has_source(&self) -> bool {
        !self.source.is_empty() && !self.edition.is_empty()
    }

    /// "NFPA 72, 2022 edition".
    pub(super) fn cited(&self) -> String {
        [self.source.as_str(), &self.edition].into_iter().filter(|text| !text.is_empty()).collect::<Vec<_>>().join(", ")
    }
}

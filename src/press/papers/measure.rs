//! How long a text is and how hard to read.

use crate::calc::reading::Reading;
use crate::web::words;

/// The highest reading grade we advise.
const ADVISED_GRADE: f64 = 9.0;

pub(super) struct Measure {
    pub length: String,
    /// Empty without a text.
    pub grade: String,
    pub advice: &'static str,
}

impl Measure {
    pub fn of(text: &str) -> Self {
        let reading = Reading::of(text);
        let grade = reading.grade();
        Self {
            length: words::count(usize::try_from(reading.words).unwrap_or(0), "word", "words"),
            grade: grade.map(|grade| format!("{grade:.1}")).unwrap_or_default(),
            advice: if grade.is_some_and(|grade| grade > ADVISED_GRADE) {
                "above grade 9, so try shorter sentences and plainer words"
            } else {
                "grade 9 or lower reads well"
            },
        }
    }
}

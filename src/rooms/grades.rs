//! How much two items match, and what differs between them, in words.

use crate::calc::pairs::{Aspect, Grade};

/// A grade, as people read it.
pub(super) fn grade(grade: Grade) -> &'static str {
    match grade {
        Grade::Model => "same model",
        Grade::TypeAndMaterial => "same type and material",
        Grade::Alike => "similar",
    }
}

/// A grade, as a page marks it.
pub(super) fn grade_mark(grade: Grade) -> &'static str {
    match grade {
        Grade::Model => "same-model",
        Grade::TypeAndMaterial => "same-material",
        Grade::Alike => "alike",
    }
}

/// What differs between two items, as a page marks it.
pub(super) fn aspects(differs: &[Aspect]) -> String {
    differs.iter().map(|differs| aspect(*differs)).collect::<Vec<_>>().join(" ")
}

pub(super) fn aspect(aspect: Aspect) -> &'static str {
    match aspect {
        Aspect::Material => "material",
        Aspect::Size => "size",
        Aspect::Model => "model",
        Aspect::Condition => "condition",
        Aspect::Position => "position",
    }
}

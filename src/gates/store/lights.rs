//! What gates showed, as the store keeps it: each gate's number with a
//! word.

use crate::calc::gates::{Light, Why};
use crate::error::Result;
use anyhow::anyhow;

const WORDS: [(&str, Light); 7] = [
    ("good", Light::Good),
    ("amber", Light::Amber { again: false }),
    ("amber again", Light::Amber { again: true }),
    ("red", Light::Red),
    ("no reading", Light::Missing(Why::NoReading)),
    ("stale", Light::Missing(Why::Stale)),
    ("not adopted", Light::Missing(Why::NotAdopted)),
];

pub(super) fn write(lights: &[(i64, Light)]) -> Result<String> {
    let word = |light: Light| WORDS.iter().find(|(_, known)| *known == light).map_or("good", |(word, _)| word);
    let rows: Vec<(i64, &str)> = lights.iter().map(|(gate, light)| (*gate, word(*light))).collect();
    Ok(serde_json::to_string(&rows)?)
}

pub(super) fn read(text: &str) -> Result<Vec<(i64, Light)>> {
    let rows: Vec<(i64, String)> = serde_json::from_str(text)?;
    let light = |(gate, word): (i64, String)| {
        let found = WORDS.iter().find(|(known, _)| *known == word);
        Ok((gate, found.ok_or_else(|| anyhow!("a gate showed something unknown: {word}"))?.1))
    };
    rows.into_iter().map(light).collect()
}

//! The form for an offer, and its part of the answer page.

use super::store;
use crate::asks::{Ask, Request, Said};
use crate::error::Result;
use crate::state::App;
use crate::web::form::{self, Mistakes};
use serde::Deserialize;

/// An offer as typed.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(in crate::asks) struct OfferForm {
    /// The button: the number of the date's ask and the answer.
    say: String,
    line: Vec<usize>,
    what: String,
    fetch: String,
}

/// What is offered, without its photo.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Offer {
    /// The number of the date's ask, and the answer.
    pub ask: i64,
    pub said: Said,
    /// The lines of the question they give, counted from 0.
    pub lines: Vec<usize>,
    /// In their own words. Both may be empty.
    pub what: String,
    pub fetch: String,
}

/// The offer on the answer page.
#[derive(Debug, Clone, Default)]
pub(in crate::asks) struct OfferPart {
    /// Each line of the question: what, the rest, and whether it is checked.
    pub lines: Vec<(String, String, bool)>,
    pub what: String,
    pub fetch: String,
    /// The digest of a photo that arrived along with a mistake in another field.
    pub photo_kept: String,
}

impl OfferPart {
    pub(super) fn new(request: &Request, form: &OfferForm) -> Self {
        let line = |(number, (what, rest)): (usize, &(String, String))| {
            (what.clone(), rest.clone(), form.line.contains(&number))
        };
        Self {
            lines: request.facts.iter().enumerate().map(line).collect(),
            what: form.what.clone(),
            fetch: form.fetch.clone(),
            ..Self::default()
        }
    }

    /// The newest offer, to change. A single line doesn't have to be checked.
    pub async fn load(app: &App, request: &Request) -> Result<Self> {
        if !request.kind.takes_offer() {
            return Ok(Self::default());
        }
        let last = store::last(&mut *app.db.read().acquire().await?, request.id).await?;
        let (line, fetch) = last.unwrap_or_default();
        let newest = request.live().filter_map(Ask::stands).max_by_key(|answer| answer.at);
        let what = newest.map(|answer| answer.note.clone()).unwrap_or_default();
        Ok(Self::new(request, &OfferForm { line, what, fetch, ..OfferForm::default() }))
    }
}

impl OfferForm {
    pub fn read(&self, request: &Request) -> Result<Offer, Mistakes> {
        let mut mistakes = Mistakes::default();
        let (ask, said) = self.say.split_once(' ').unwrap_or_default();
        let said = said.parse::<Said>().ok().filter(|said| *said != Said::Deputy);
        let pressed = ask.parse::<i64>().ok().zip(said).ok_or("Choose an answer.".to_owned());
        let pressed = mistakes.note("say", pressed);
        let what = mistakes.note("what", form::paragraph(&self.what, 1_000));
        let fetch = mistakes.note("fetch", form::optional_line(&self.fetch, 200));
        let lines = self.read_lines(request, matches!(pressed, Some((_, Said::Yes))), &mut mistakes);
        match (pressed, what, fetch, mistakes.is_empty()) {
            (Some((ask, said)), Some(what), Some(fetch), true) => Ok(Offer { ask, said, lines, what, fetch }),
            _ => Err(mistakes),
        }
    }

    /// The lines of the question they give, counted from 0. A single line doesn't have to be
    /// checked.
    fn read_lines(&self, request: &Request, is_yes: bool, mistakes: &mut Mistakes) -> Vec<usize> {
        let mut lines: Vec<usize> = self.line.iter().copied().filter(|line| *line < request.facts.len()).collect();
        lines.sort_unstable();
        lines.dedup();
        match (is_yes, request.facts.len()) {
            (true, 1) => lines = vec![0],
            (true, _) if lines.is_empty() => mistakes.add("line", "Check what you can give."),
            (false, _) => lines.clear(),
            (true, _) => {}
        }
        lines
    }
}

//! New lines under a question, when their source changes or the program words them anew.

use crate::asks::noted::{self, By};
use crate::asks::statement::rewording;
use crate::asks::{Request, Statement, store};
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::Event;
use time::OffsetDateTime;

/// Updates the lines under a question when their source changes, such as a crew
/// position's hours or a loan's days. People who need to know stay on the list until
/// told. `known` is the event as the person asked knows it.
pub async fn refresh(
    tx: &mut Tx,
    known: &Event,
    request: &Request,
    facts: &[(String, String)],
    now: OffsetDateTime,
) -> Result<bool> {
    if request.facts == facts {
        return Ok(false);
    }
    if request.is_withdrawn {
        // No one needs this until the question is open again.
        store::set_facts(tx, request.id, facts).await?;
        return Ok(false);
    }
    if !noted::is_noted(tx, request.id).await? {
        let known = Statement::of(known, request);
        noted::note_statement(tx, request.id, By::Assumed, &known, (Actor::System, now))?;
    }
    store::set_facts(tx, request.id, facts).await
}

/// Puts the lines under a question into this program's words, both in the question and in
/// what was noted about it, so that no one needs an update. Where more than the words
/// differs, everyone still knows what they knew: with as many lines as before they get
/// listed, and with more or fewer that is left to the next [`refresh`].
pub async fn reword(
    tx: &mut Tx,
    event: &Event,
    request: &Request,
    facts: &[(String, String)],
    now: OffsetDateTime,
) -> Result<()> {
    let pairs = rewording::pairs(&request.facts, facts);
    noted::reword_statements(tx, request.id, &pairs).await?;
    let mut same = request.clone();
    rewording::reword(&mut same.facts, &pairs);
    if request.facts.len() != facts.len() {
        return store::reword(tx, request.id, &same.facts).await;
    }
    if same.facts != facts && !noted::is_noted(tx, request.id).await? {
        let known = Statement::of(event, &same);
        noted::note_statement(tx, request.id, By::Assumed, &known, (Actor::System, now))?;
    }
    store::reword(tx, request.id, facts).await
}

/// [`refresh`] for several questions, each with its new lines. Returns how many people need
/// to know.
pub async fn refresh_all(
    tx: &mut Tx,
    known: &Event,
    questions: &[(&Request, Lines)],
    now: OffsetDateTime,
) -> Result<usize> {
    let mut changed = 0;
    for (request, lines) in questions {
        changed += usize::from(refresh(tx, known, request, lines, now).await?);
    }
    Ok(changed)
}

/// [`reword`] for several questions, each with its lines in this program's words.
pub async fn reword_all(
    tx: &mut Tx,
    event: &Event,
    questions: &[(&Request, Lines)],
    now: OffsetDateTime,
) -> Result<()> {
    for (request, lines) in questions {
        reword(tx, event, request, lines, now).await?;
    }
    Ok(())
}

/// The lines under a question, each a label and a text.
type Lines = Vec<(String, String)>;

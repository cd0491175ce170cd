//! The program and the talk up to ignition, on one clock.

use super::page::href;
use super::says::lasts;
use super::snapshot::TalkSnapshot;
use crate::calc::talk::Part;
use crate::error::Result;
use crate::events::Event;
use crate::guests::Following;
use crate::state::App;
use crate::web::words::Reader;
use futures_util::future::BoxFuture;

/// One line of the timeline before ignition.
pub(super) struct Timed {
    pub clock: String,
    pub what: String,
    pub who: String,
    pub lasts: String,
    pub is_talk: bool,
}

/// What follows the program, for the pages about it: when it begins, what it is, how long it
/// takes, and by how much it is too long. Nothing before a talk is written.
#[must_use]
pub fn before_lighting(app: App, event: Event) -> BoxFuture<'static, Result<Vec<Following>>> {
    Box::pin(async move {
        let snapshot = TalkSnapshot::of(&mut *app.db.read().acquire().await?, event).await?;
        if snapshot.lines.is_empty() {
            return Ok(Vec::new());
        }
        let over = snapshot.seconds(Part::Before) - snapshot.before_ignition();
        let rows = timeline(&snapshot).into_iter().skip(snapshot.program.parts.len());
        let rows = rows.map(|row| Following {
            over: if row.is_talk && over > 0.5 { lasts(over) } else { String::new() },
            href: if row.is_talk { href(snapshot.event.id) } else { String::new() },
            clock: row.clock,
            what: row.what,
            lasts: row.lasts,
        });
        Ok(rows.collect())
    })
}

/// The program and the talk up to ignition, on one clock.
pub(super) fn timeline(snapshot: &TalkSnapshot) -> Vec<Timed> {
    let details = &snapshot.event.details;
    let burns = details.burn_on.with_time(details.burn_time);
    let clock = |before: i64| Reader::App.time((burns - time::Duration::seconds(before)).time());
    let mut all: Vec<Timed> = snapshot
        .program
        .parts
        .iter()
        .map(|part| Timed {
            clock: part.clock.clone(),
            what: part.title.clone(),
            who: part.who.clone(),
            lasts: lasts(f64::from(part.seconds)),
            is_talk: false,
        })
        .collect();
    let row = |clock, what: &str, lasts: String, is_talk| Timed {
        clock,
        what: what.to_owned(),
        who: String::new(),
        lasts,
        is_talk,
    };
    let ends = i64::from(snapshot.program.begins) * 60 - i64::from(snapshot.program.seconds);
    all.push(row(clock(ends), "The talk before lighting", lasts(snapshot.seconds(Part::Before)), true));
    let clear = snapshot.settings.clear;
    if clear > 0 {
        let lasts = lasts(f64::from(clear) * 60.0);
        all.push(row(clock(i64::from(clear) * 60), "Search of both rooms, go/no-go poll", lasts, false));
    }
    let lit = if snapshot.is_both() { "Both rooms are lit" } else { "Room A is lit" };
    all.push(row(clock(0), lit, String::new(), false));
    all
}

//! Who was asked to read a text, on the page of a release.

use super::{Asked, store};
use crate::accounts::{Private, User};
use crate::error::Result;
use crate::events::Event;
use crate::press::papers::paper::Paper;
use crate::state::App;
use crate::web::words::Reader;
use time::OffsetDateTime;

/// Outside readers on a release's page.
#[derive(Debug, Default)]
pub(in crate::press::papers) struct ReadingsView {
    pub lines: Vec<ReadingLine>,
}

#[derive(Debug)]
pub(in crate::press::papers) struct ReadingLine {
    pub name: String,
    /// What they said, or else "asked" or "run out".
    pub state: &'static str,
    pub says: String,
    pub note: String,
}

impl ReadingsView {
    pub async fn load(app: &App, user: &User, event: &Event, paper: &Paper) -> Result<Self> {
        let asked = store::of_paper(&mut *app.db.read().acquire().await?, paper.id).await?;
        let now = app.clock.now();
        let moment = |at: OffsetDateTime| Reader::App.moment(event.details.zone.wall(at));
        let line = |asked: Asked| {
            let (state, says) = match (asked.said, asked.said_at) {
                (Some(said), Some(at)) => (said.as_str(), format!("{}, {}", said.label(), moment(at))),
                _ if asked.expires_at <= now => {
                    ("run out", format!("asked {}; the link has expired", moment(asked.asked_at)))
                }
                _ => ("asked", format!("asked {}, waiting for a reply", moment(asked.asked_at))),
            };
            ReadingLine { state, says, name: asked.person, note: user.shown(Private::Notes, &asked.note) }
        };
        Ok(Self { lines: asked.into_iter().map(line).collect() })
    }
}

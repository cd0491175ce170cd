//! A change to the event, asked of all places at once.

use super::{Follow, Following, ListMoves, MoveLine};
use crate::db::Tx;
use crate::error::Result;
use crate::events::{Details, Event};
use crate::state::App;
use futures_util::future::try_join_all;
use std::sync::Arc;
use time::OffsetDateTime;

/// What a change to the event does, by the name of the place.
pub(super) type MovesByPlace = Vec<(&'static str, Vec<MoveLine>)>;

/// What all places do when the event changes: each reports it beforehand under its
/// name, and some then update what they hold.
#[derive(Debug, Clone)]
pub(super) struct Moves {
    lists: Arc<[(&'static str, ListMoves)]>,
    follows: Arc<[Follow]>,
}

impl Moves {
    pub fn of(lists: &[(&'static str, ListMoves)], follows: &[Follow]) -> Self {
        Self { lists: lists.into(), follows: follows.into() }
    }

    /// What the change does, by place.
    pub async fn lines(&self, app: &App, event: &Event, to: &Details, now: OffsetDateTime) -> Result<MovesByPlace> {
        let lines = self.lists.iter().map(|(name, list)| {
            let lines = list(app.clone(), event.clone(), to.clone(), now);
            async move { Ok((*name, lines.await?)) }
        });
        try_join_all(lines).await
    }

    /// Has the places update what they hold.
    pub async fn follow(&self, tx: &mut Tx, following: Following<'_>) -> Result<()> {
        for follow in self.follows.iter() {
            follow(tx, following).await?;
        }
        Ok(())
    }
}

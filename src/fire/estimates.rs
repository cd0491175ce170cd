//! Estimates that were made: kept while what they rest on stays the same, and made anew off
//! the requests' threads.

use super::reading::Read;
use super::setup::Setup;
use super::store;
use crate::calc::fire::bands::{Bands, Inputs};
use crate::error::Result;
use crate::state::App;
use std::sync::{Arc, Mutex, PoisonError};

/// Fires for a page, at once, and for the plan, in the background.
const AT_ONCE: usize = 300;
const FOR_PLAN: usize = 2_000;
/// Any number: the same one makes the same estimate from the same inputs.
const SEED: u64 = 2027;
/// So many are kept; an officer compares a few.
const MOST_KEPT: usize = 24;

/// The latest estimates. All clones share them.
#[derive(Clone, Default)]
pub(super) struct Estimates(Arc<Mutex<Vec<Kept>>>);

/// An estimate, and what it rests on.
type Kept = (Inputs, Arc<Bands>);

impl Estimates {
    /// What comes of these inputs.
    ///
    /// # Errors
    /// [`crate::error::Error::Busy`] if too many wait for long computations.
    pub async fn of(&self, app: &App, read: &Read) -> Result<Arc<Bands>> {
        if let Some(found) = self.kept(&read.inputs) {
            return Ok(found);
        }
        let (all, inputs) = (self.clone(), read.inputs.clone());
        app.heavy
            .run(move |stop| {
                // Someone else may have asked for the same while this waited its turn.
                if let Some(found) = all.kept(&inputs) {
                    return Some(found);
                }
                let bands = Arc::new(inputs.simulate(AT_ONCE, SEED, || stop.is_set())?);
                let mut kept = all.0.lock().unwrap_or_else(PoisonError::into_inner);
                if kept.len() >= MOST_KEPT {
                    kept.remove(0);
                }
                kept.push((inputs, Arc::clone(&bands)));
                Some(bands)
            })
            .await
    }

    fn kept(&self, inputs: &Inputs) -> Option<Arc<Bands>> {
        let kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        kept.iter().find(|(known, _)| known == inputs).map(|(_, bands)| Arc::clone(bands))
    }
}

/// Simulates the fires of plans that were just pinned.
pub async fn tick(app: &App) -> Result<()> {
    for (event_id, typed) in store::waiting(&mut *app.db.read().acquire().await?).await? {
        // What was pinned could be read then. If the limits have changed since, the page says so.
        let Some(Ok(read)) = serde_json::from_str(&typed).ok().map(|setup: Setup| setup.read()) else { continue };
        let bands = app.heavy.run(move |stop| read.inputs.simulate(FOR_PLAN, SEED, || stop.is_set())).await?;
        let save =
            app.db.write(move |tx| Box::pin(async move { store::save_bands(tx, (event_id, typed), &bands).await }));
        save.await?;
    }
    Ok(())
}

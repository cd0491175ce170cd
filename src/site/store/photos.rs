//! The photos from above.

use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::photos::{self, Taken};
use crate::site::plan::Photo;
use time::OffsetDateTime;

/// Saves a photo from above, for a drawing to show.
pub async fn add_photo(tx: &mut Tx, actor: Actor, event_id: i64, taken: &Taken, now: OffsetDateTime) -> Result<Photo> {
    let id = photos::keep(tx, taken, actor, now).await?;
    sqlx::query!("insert into site_photo (event_id, photo_id) values (?, ?)", event_id, id).execute(&mut **tx).await?;
    Ok(Photo { id, width: taken.width, height: taken.height, meters_per_pixel: None })
}

/// Removes the photos that no drawing shows anymore, not even after an undo.
pub(super) async fn drop_unused_photos(tx: &mut Tx, actor: Actor, event_id: i64, now: OffsetDateTime) -> Result<()> {
    let unused = sqlx::query_scalar!(
        "select photo_id from site_photo p where event_id = ?
         and not exists (select 1 from site_version v
                         where v.event_id = p.event_id and v.plan ->> '$.photo.id' = p.photo_id)
         and not exists (select 1 from site_kept k
                         where k.event_id = p.event_id and k.plan ->> '$.photo.id' = p.photo_id)",
        event_id
    );
    for id in unused.fetch_all(&mut **tx).await? {
        sqlx::query!("delete from site_photo where event_id = ? and photo_id = ?", event_id, id)
            .execute(&mut **tx)
            .await?;
        photos::drop(tx, id, actor, now).await?;
    }
    Ok(())
}

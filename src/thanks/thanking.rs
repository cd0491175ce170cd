//! Thanks that are sent, or marked as given.

use super::context::ThanksContext;
use super::email::email;
use super::{Way, Whom, letters, store};
use crate::accounts::Visit;
use crate::error::Result;
use crate::mail;
use crate::state::App;
use std::sync::Arc;

/// Thanks all of these for what they haven't been thanked for, and returns how many
/// there were. The same write checks what was sent in the meantime.
pub(super) async fn thank(
    app: &App,
    visit: &Visit,
    context: ThanksContext,
    chosen: Vec<Whom>,
    way: Way,
) -> Result<usize> {
    let by = visit.user.account_id;
    let context = Arc::new(context);
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let thanked = store::thanked(tx, context.event.id).await?;
            let mut done = 0;
            for owed in chosen.iter().filter_map(|whom| context.find(*whom)) {
                let open = owed.open(&thanked);
                let Some(reader) = context.reader(owed).filter(|_| !open.is_empty()) else { continue };
                let mail_id = if way == Way::Mail {
                    let written = letters::write(&context.event, &context.day, &open, context.sentence(owed.whom));
                    let number = thanked.iter().filter(|thanked| thanked.whom == owed.whom).count();
                    let from = (&context.day, &context.sender);
                    let letter = email(&context.event, &written, &reader, from, number, context.now)?;
                    if reader.mail.is_empty() {
                        continue;
                    }
                    let Some(id) = mail::queue(tx, &letter, context.now).await? else { continue };
                    Some(id)
                } else {
                    None
                };
                let keys: Vec<String> = open.iter().map(|reason| reason.key.clone()).collect();
                let whom = (owed.whom, reader.name.as_str());
                store::add_thanked(tx, by, context.event.id, whom, &keys, (way, mail_id), context.now).await?;
                done += 1;
            }
            Ok(done)
        })
    });
    write.await
}

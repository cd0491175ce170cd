//! Why something about an account isn't saved.

use crate::accounts::{self, Refused, Visit};
use crate::error::Result;
use crate::state::App;
use crate::web::form::Mistakes;

/// Anything that lets someone in asks for the officer's own password again: a person who
/// finds an open browser must not be able to take over.
pub(super) async fn must_know_own_password(app: &App, visit: &Visit, own: &str, mistakes: &mut Mistakes) -> Result<()> {
    if !accounts::is_entered_by_password(app.db.read()).await? {
        return Ok(());
    }
    let typed = accounts::is_own_password(app, visit.user.account_id, own.to_owned()).await?;
    if let Some(why) = typed.mistake() {
        mistakes.add("own", why);
    }
    Ok(())
}

/// Shows a refusal beside the field it is about.
pub(super) fn tell(mistakes: &mut Mistakes, refused: Refused) {
    match refused {
        Refused::NameTaken => {
            mistakes.add("name", "Someone with this name has an account. Add something to tell the two apart.");
        }
        Refused::MailTaken => mistakes.add("mail", "Another account has this email. Use a different one."),
        Refused::Stale => mistakes.add("name", "Someone else changed this. Reload the page and try again."),
        Refused::LastOfficer => mistakes.add(
            "role",
            "This is the only education officer who can sign in, and there must be one. Give someone else the role \
             first.",
        ),
    }
}

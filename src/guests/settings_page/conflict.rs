//! Two versions of the settings, for the person who saved to choose.

use super::form::ListForm;
use crate::guests::settings::GuestSettings;
use crate::web::conflict::Conflict;
use serde_json::Value;

pub(super) fn conflict(path: &str, old: &GuestSettings, form: &ListForm, new: &GuestSettings) -> Conflict {
    let mut conflict = Conflict::new("Offices and levels", path.to_owned(), old.version);
    let (theirs, mine) = (old.snapshot(), new.snapshot());
    for (field, label) in [
        ("offices", "Offices"),
        ("sponsor levels", "Sponsor levels"),
        ("invited before burn day", "Invite before burn day"),
        ("invitations signed by", "Invitations signed by"),
        ("words a minute", "Words per minute"),
    ] {
        let text = |value: &Value| value[field].as_str().map_or_else(|| value[field].to_string(), str::to_owned);
        conflict.compare(label, &text(&theirs), &text(&mine));
    }
    keep_lines(&mut conflict, form);
    conflict.silent("signer", &form.signer);
    conflict.silent("rate", &form.rate);
    conflict
}

/// Sends all lines of the form along.
fn keep_lines(conflict: &mut Conflict, form: &ListForm) {
    for line in form.offices() {
        let fields = [
            ("office", line.id.to_string()),
            ("office_place", line.place),
            ("office_name", line.name),
            ("office_level", line.level),
            ("office_address", line.address),
            ("office_town", line.town),
        ];
        for (name, value) in fields {
            conflict.silent(name, &value);
        }
    }
    for line in form.sponsors() {
        let fields = [("sponsor", line.id.to_string()), ("sponsor_place", line.place), ("sponsor_name", line.name)];
        for (name, value) in fields {
            conflict.silent(name, &value);
        }
    }
    for (level, days, basis) in form.leads() {
        for (name, value) in [("lead_level", level), ("lead_days", days), ("lead_basis", basis)] {
            conflict.silent(name, &value);
        }
    }
}

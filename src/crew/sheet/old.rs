//! Call sheets that were emailed before sheets had keys, when a sheet was known by a digest
//! of its words.

use super::content::{Content, PostContent, short_hash};
use super::store::{self, OldMail, note_sheet};
use crate::calc::duties::Duty;
use crate::crew::reply_status::ReplyStatus;
use crate::crew::snapshot::CrewSnapshot;
use crate::crew::{Hours, RuleOverride};
use crate::db::Tx;
use crate::error::Result;
use crate::events::{Event, VisitorFacts};
use crate::web::words;
use time::macros::format_description;
use time::{Date, Time};

/// How a sheet was worded. Nothing here may follow later changes to any words.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Wording {
    /// The first weeks of version 1 of the words.
    Early,
    /// The rest of version 1.
    First,
    /// Version 2.
    Second,
}

/// Notes the key of the sheet in each of an event's emails, so that no one gets a sheet
/// again that says the same as theirs.
///
/// An email still says what was on the sheet, because the words that each version used are
/// known: if today's sheet in those words, as they were on the day of the email, is the
/// sheet in the email, it gets today's key. Any other sheet has changed since. It gets no
/// key, so whoever has it gets the new one, as before.
pub async fn read_old_call_sheets(tx: &mut Tx, event: &Event) -> Result<()> {
    let snapshot = CrewSnapshot::load(tx, event).await?;
    // In those versions there was nothing for visitors on a sheet.
    if event.details.visitors != VisitorFacts::default() {
        return Ok(());
    }
    for mail in store::old_mails(tx, event.id).await? {
        let Some(content) = Content::of(&snapshot, mail.person_id) else { continue };
        let written_on = event.details.zone.wall(mail.written_at).date();
        let wordings = [Wording::Early, Wording::First, Wording::Second];
        if wordings.into_iter().map(|wording| lines(&content, written_on, wording)).any(|lines| holds(&mail, &lines)) {
            note_sheet(tx, &mail.dedup, &content.key()).await?;
        }
    }
    Ok(())
}

/// Does an email hold a sheet with these lines and no others?
fn holds(mail: &OldMail, lines: &[(String, String)]) -> bool {
    if let Some(key) = mail.dedup.strip_prefix("call-sheet/") {
        let told = serde_json::to_string(lines).unwrap_or_default();
        return key.rsplit('/').next() == Some(short_hash(&told).as_str());
    }
    // A scheduled message. An empty line follows its last line.
    let lines: Vec<String> = lines.iter().map(|(label, text)| format!("{label}: {text}\n")).collect();
    mail.text.contains(&format!("{}\n", lines.concat()))
}

fn lines(sheet: &Content, today: Date, wording: Wording) -> Vec<(String, String)> {
    let is_second = wording == Wording::Second;
    let mut lines = vec![("Day", day(sheet.burn_on, wording))];
    if !sheet.site.is_empty() {
        lines.push(("Site", sheet.site.clone()));
    }
    for post in &sheet.posts {
        let standby = match (post.is_standby, wording) {
            (false, _) => "",
            (true, Wording::Early) => ", as a stand-by",
            (true, _) => ", as an alternate",
        };
        lines.push((if is_second { "Position" } else { "Post" }, format!("{}{standby}", post.name)));
        lines.extend(lines_of(post, wording).into_iter().filter(|(_, text)| !text.is_empty()));
    }
    lines.push((if is_second { "If postponed" } else { "If it is called off" }, rain(sheet.rain, today, is_second)));
    for (duty, names) in sheet.in_charge.iter().filter(|(_, names)| !names.is_empty()) {
        let label = match duty {
            Duty::IncidentCommander => "Incident commander",
            Duty::SafetyOfficer => "Safety officer",
            _ => "Burn boss",
        };
        lines.push((label, names.join(", ")));
    }
    lines.into_iter().map(|(label, text)| (label.to_owned(), text)).collect()
}

fn lines_of(post: &PostContent, wording: Wording) -> [(&'static str, String); 8] {
    let is_second = wording == Wording::Second;
    let overridden = |one: &RuleOverride| {
        let rules = one.rules.join(" ");
        if is_second {
            format!("{rules} {} ({})", one.reason, one.by)
        } else {
            format!("{rules} {}, {}", one.reason, one.by)
        }
    };
    [
        ("Hours", hours(post.hours, is_second)),
        ("Where", post.spot.clone()),
        ("Reports to", post.reports_to.clone()),
        ("Wear", post.wear.clone()),
        ("Bring", post.bring.clone()),
        (if wording == Wording::Early { "To mind" } else { "Instructions" }, post.cautions.clone()),
        ("With you", post.with.join(", ")),
        (if is_second { "Override" } else { "Decided" }, post.overridden.as_ref().map(overridden).unwrap_or_default()),
    ]
}

fn rain(rain: Option<(Date, ReplyStatus)>, today: Date, is_second: bool) -> String {
    let Some((on, said)) = rain else {
        let none = if is_second {
            "There is no rain date. We will tell you what happens next."
        } else {
            "There is no rain date; you will hear from us."
        };
        return none.to_owned();
    };
    let day = near_day(on, today, if is_second { Wording::Second } else { Wording::First });
    let (first, second) = match said {
        ReplyStatus::Confirmed => ("you said yes to that day too", "You said yes to that day too."),
        ReplyStatus::Declined => ("you said no to that day", "You said no to that day."),
        ReplyStatus::Maybe => ("you said maybe to that day", "You said maybe to that day."),
        ReplyStatus::Waiting => ("you have not answered for that day yet", "You haven't answered for that day yet."),
        ReplyStatus::NotAsked | ReplyStatus::OtherDate(_) => {
            ("you were not asked about that day yet", "You haven't been asked about that day yet.")
        }
    };
    if is_second {
        format!("{day}, same hours. {second} We will let you know. If you aren't sure, call before you leave home.")
    } else {
        format!("{day}, same hours; {first}. You hear it by mail. If unsure, ring before you set off.")
    }
}

/// "Sat 9 Jan 2027", later "Sat, Jan 9, 2027".
fn day(on: Date, wording: Wording) -> String {
    if wording != Wording::Second {
        return words::old_day(on);
    }
    on.format(format_description!("[weekday repr:short], [month repr:short] [day padding:none], [year]"))
        .expect("a date has these parts")
}

/// The same without the year if it was plain on that day.
fn near_day(on: Date, today: Date, wording: Wording) -> String {
    let day = day(on, wording);
    let is_near = on.year() == today.year() || (on - today).whole_days().abs() < 120;
    let year = format!("{}{}", if wording == Wording::Second { ", " } else { " " }, on.year());
    match day.strip_suffix(&year) {
        Some(short) if is_near => short.to_owned(),
        _ => day,
    }
}

/// "08:30 to 12:00", later "8:30 a.m. to noon (08:30–12:00)".
fn hours(hours: Hours, is_second: bool) -> String {
    let (from, until) = hours.clocks();
    let next = if hours.until >= 24 * 60 { " the next day" } else { "" };
    let clock = |at: Time| format!("{:02}:{:02}", at.hour(), at.minute());
    if is_second {
        format!("{} to {} ({}–{}){next}", spoken(from), spoken(until), clock(from), clock(until))
    } else {
        format!("{} to {}{next}", clock(from), clock(until))
    }
}

fn spoken(at: Time) -> String {
    let half = if at.hour() < 12 { "a.m." } else { "p.m." };
    let hour = if at.hour().is_multiple_of(12) { 12 } else { at.hour() % 12 };
    match (at.hour(), at.minute()) {
        (0, 0) => "midnight".to_owned(),
        (12, 0) => "noon".to_owned(),
        (_, 0) => format!("{hour} {half}"),
        (_, minute) => format!("{hour}:{minute:02} {half}"),
    }
}

#[cfg(test)]
mod tests;

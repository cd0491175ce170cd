//! The first text of a release: marks for what the event and the press facts say,
//! and square brackets for what someone still has to find out.
//!
//! The form is common practice in the United States: for a release, who to call,
//! then a headline in the present tense, a dateline, a first paragraph that says who
//! will do what, when and where, a quote, what there is to see, facts with their
//! sources, the rain date, what visitors should know, and the department. An
//! advisory answers one question to a line and fits on a page.

use super::dateline::dateline;
use crate::calc::homes::Home;
use crate::press::facts::Facts;
use time::Date;

/// What the first text needs besides the facts.
pub(super) struct Start<'a> {
    /// Where the department is, for the dateline.
    pub home: &'a Home,
    pub today: Date,
}

/// Who outlets call.
const CONTACT: &str = "CONTACT: {contact}, {contact phone}, {contact email}";

impl Start<'_> {
    fn dateline(&self) -> String {
        dateline(self.home, self.today)
    }
}

pub(super) fn advisory(_: &Facts, _: &Start<'_>) -> Vec<String> {
    [
        "WHAT: {what happens}",
        "WHO: {department}",
        "WHEN: {time} {burn day}\nRain date: {rain date}. {decision}",
        "WHERE: {place}",
        "WHY: {why}",
        "VISUALS: {what to film}",
        "INTERVIEWS: {interviews}",
        "MEDIA ARRIVAL AND PARKING: {arrival}\nMedia staging area: {press area}\nClothing: {clothing}\nPower: {power}",
        CONTACT,
    ]
    .map(str::to_owned)
    .to_vec()
}

pub(super) fn release(facts: &Facts, start: &Start<'_>) -> Vec<String> {
    let mut parts = vec![
        CONTACT.to_owned(),
        format!(
            "{} The {{department}} will burn two furnished rooms, one with a sprinkler, in public at {{time}} \
             {{burn day}}, at {{place}}.",
            start.dateline()
        ),
    ];
    let mut add = |part: &str| parts.push(part.to_owned());
    add("{why}");
    add("“[Quote from the fire chief, one or two sentences],” said [title and full name].");
    add("{what happens} What people will see: {what to film}");
    if !facts.printed_messages().is_empty() {
        add("{messages}");
    }
    add("[A fact about home fires or sprinklers], according to [source and year].");
    add("Rain date: {rain date}. {decision}");
    add(
        "The demonstration is free and open to the public. [Where visitors park]. [Wheelchair access and other help]. \
         [How loud and smoky it will be, and where to stand].",
    );
    add("About the {department}: [Whom it serves and from where, in one or two sentences].");
    parts
}

pub(super) fn after_the_day(facts: &Facts, start: &Start<'_>) -> Vec<String> {
    let mut parts = vec![
        CONTACT.to_owned(),
        format!(
            "{} [How many] people watched {{burn day}} as the {{department}} burned two furnished rooms, one with a \
             sprinkler, at {{place}}.",
            start.dateline()
        ),
    ];
    let mut add = |part: &str| parts.push(part.to_owned());
    add("The room without a sprinkler was fully on fire after about [minutes and seconds]. In the other room, the \
         sprinkler opened after about [minutes and seconds].");
    add("“[What someone in the crowd said],” said [full name and town].");
    if !facts.printed_messages().is_empty() {
        add("{messages}");
    }
    add("About the {department}: [Whom it serves and from where, in one or two sentences].");
    parts
}

#[cfg(test)]
mod tests;

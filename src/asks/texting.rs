//! The links that call and text someone about a question. The officer's own phone sends
//! the message, and nothing counts as said until someone presses a button here.

use super::views::is_undecided;
use super::{Ask, Request, greeted};
use crate::accounts::{Private, User};
use crate::events::Event;
use crate::people::Person;
use crate::state::App;
use crate::web::link::Opens;
use crate::web::phone;
use crate::web::words::Reader;
use time::OffsetDateTime;

/// What one user may see of people's phones, and the links that follow from it.
pub(super) struct Phones<'a> {
    pub app: &'a App,
    pub user: &'a User,
    pub event: &'a Event,
    pub now: OffsetDateTime,
}

impl Phones<'_> {
    /// Someone's phone, as it is stored. Empty if there is none or the user may not see it.
    pub fn number(&self, person: &Person) -> String {
        self.user.shown(Private::Contact, &person.details.phone)
    }

    /// The link that calls them. Empty if it can't be made.
    pub fn call(&self, person: &Person) -> String {
        phone::tel(&self.number(person)).unwrap_or_default()
    }

    /// The link that texts them an open question. Empty if it isn't open, or can't be made.
    pub fn text(&self, request: &Request, person: &Person) -> String {
        let number = self.number(person);
        if number.is_empty() || request.is_withdrawn || !request.live().any(is_undecided) {
            return String::new();
        }
        let link = self.answer_link(request);
        phone::sms(&number, &self.message(request, person, link.as_deref())).unwrap_or_default()
    }

    /// Where this person answers. The link is as good as their answer, so only the
    /// education officer gets it, who could record any answer anyway.
    fn answer_link(&self, request: &Request) -> Option<String> {
        let is_open = self.now < request.closes_at;
        let mark = Opens::Question.mark(request.id, request.link_number);
        (is_open && self.user.is_officer()).then(|| self.app.link_key.fill(&mark, &self.app.config.base_url()))
    }

    fn message(&self, request: &Request, person: &Person, link: Option<&str>) -> String {
        let (hello, from) = (greeted(person), (self.user.name.as_str(), self.user.department.name.as_str()));
        let today = self.event.today(self.now);
        let day = |ask: &Ask| {
            let is_rain = Some(ask.for_on) == self.event.details.rain_on;
            let which = if is_rain { "the rain date" } else { "burn day" };
            format!("{which} is {}", Reader::CallSheet.near_day(ask.for_on, today))
        };
        // A donation isn't for one day.
        let dates = request.live().filter(|ask| is_undecided(ask) && !request.kind.takes_offer());
        let dates: Vec<String> = dates.map(day).collect();
        message(hello, from, &request.question, &dates, link)
    }
}

/// "Hello Ray, this is Olga Wren, Alder Bend Fire District. Can you work the live burn?
/// Burn day is Sat, Jan 9. Please answer here: …"
fn message(
    hello: &str,
    (name, department): (&str, &str),
    question: &str,
    dates: &[String],
    link: Option<&str>,
) -> String {
    let from = if department.is_empty() { name.to_owned() } else { format!("{name}, {department}") };
    let end = if question.ends_with(['.', '?', '!']) { "" } else { "." };
    let mut said = format!("Hello {hello}, this is {from}. {question}{end}");
    let dates = dates.join(", and ");
    let mut rest = dates.chars();
    if let Some(first) = rest.next() {
        said.push(' ');
        said.extend(first.to_uppercase());
        said.push_str(rest.as_str());
        said.push('.');
    }
    match link {
        Some(link) => said + " Please answer here: " + link,
        None => said + " Please call or text me back.",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_says_who_asks_what_for_when_and_where_to_answer() {
        let from = ("Olga Wren", "Alder Bend Fire District");
        let dates = ["burn day is Sat, Jan 9".to_owned(), "the rain date is Sat, Jan 16".to_owned()];
        let link = Some("https://burn.example.org/answer/x");
        let both = message("Ray", from, "Can you work the live burn?", &dates, link);
        assert_eq!(
            both,
            "Hello Ray, this is Olga Wren, Alder Bend Fire District. Can you work the live burn? Burn day is Sat, Jan \
             9, and the rain date is Sat, Jan 16. Please answer here: https://burn.example.org/answer/x"
        );
        let bare = message("Ray", ("Olga Wren", ""), "Lend us a ladder", &[], None);
        assert_eq!(bare, "Hello Ray, this is Olga Wren. Lend us a ladder. Please call or text me back.");
    }
}

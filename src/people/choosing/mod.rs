//! Choosing people out of many: looked for, by what they did, a page at a time.
//! What is ticked stays so while others are looked for.

mod store;

use super::{Name, Person, some};
use crate::error::Result;
use crate::web::page::query_escape;
use crate::web::words;
use serde::Deserialize;
use sqlx::SqliteConnection;

/// People on one page.
const PAGE: usize = 100;
/// So many are ticked with one press.
const MOST_AT_ONCE: usize = 500;
/// So many can be chosen in all: it all comes back with each press.
const MOST_CHOSEN: usize = 1_000;
/// Organizations offered while one is typed.
const OFFERED: i64 = 100;

/// What somebody did in some event, to look among those.
pub const PARTS: [(&str, &str); 5] = [
    ("guest", "guests"),
    ("crew", "crew"),
    ("lender", "lenders"),
    ("sponsor", "sponsors"),
    ("press contact", "press contacts"),
];

/// What a form with a chooser sends beside its own fields, or an address says.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Find {
    /// Words of the name, the organization, the office, the address, the number.
    pub find: String,
    /// One of the parts, or the role of an account.
    pub find_role: String,
    pub find_organization: String,
    /// The number of a qualification,
    pub find_skill: String,
    /// and of an event in which they said yes.
    pub find_yes: String,
    /// What was looked for when the page was shown.
    pub find_seen: String,
    /// The button: "look", "all" to tick all, or the number of a page.
    pub find_act: String,
}

impl Find {
    /// Was a button of the chooser pressed, or Enter in its field?
    #[must_use]
    pub fn is_looking(&self) -> bool {
        !self.find_act.is_empty() || self.find.trim() != self.find_seen.trim()
    }

    /// Is nothing looked for?
    #[must_use]
    pub fn is_empty(&self) -> bool {
        [&self.find, &self.find_role, &self.find_organization, &self.find_skill, &self.find_yes]
            .iter()
            .all(|text| text.trim().is_empty())
    }

    fn number(text: &str) -> i64 {
        text.trim().parse().unwrap_or(0)
    }

    /// Counted from 0.
    fn page(&self) -> usize {
        self.find_act.parse::<usize>().unwrap_or(1).clamp(1, 1_000_000) - 1
    }
}

/// Somebody to choose.
#[derive(Debug, Clone)]
pub struct Line {
    pub id: i64,
    pub name: String,
    pub detail: String,
}

/// A page of people to choose from.
#[derive(Debug)]
pub struct Chooser {
    /// Where the form goes.
    pub here: String,
    pub find: Find,
    /// Values and labels.
    pub roles: Vec<(String, String)>,
    pub skills: Vec<Name>,
    pub burns: Vec<(String, String)>,
    pub organizations: Vec<String>,
    /// Those who are ticked,
    pub chosen: Vec<Line>,
    /// others who fit, a page of them,
    pub people: Vec<Line>,
    /// and how many there are.
    pub count: usize,
    /// Counted from 1.
    pub page: usize,
    pub pages: usize,
}

impl Chooser {
    /// What is looked for, with those who are ticked and without some.
    ///
    /// # Errors
    /// The store's.
    pub async fn load(
        db: &mut SqliteConnection,
        here: String,
        find: &Find,
        ticked: &[i64],
        without: &[i64],
        detail: impl Fn(&Person) -> String,
    ) -> Result<Self> {
        let mut ticked: Vec<i64> = ticked.iter().copied().take(MOST_CHOSEN).collect();
        if find.find_act == "all" {
            let known = [&ticked, without].concat();
            ticked.extend(store::matching(db, find, &known, 0, MOST_AT_ONCE).await?);
        }
        let line = |person: &Person| Line { id: person.id, name: person.details.name.clone(), detail: detail(person) };
        let chosen: Vec<Line> = some(db, &ticked).await?.iter().map(line).collect();
        let left_out = [&ticked, without].concat();
        let count = store::count(db, find, &left_out).await?;
        let pages = count.div_ceil(PAGE).max(1);
        let page = find.page().min(pages - 1);
        let ids = store::matching(db, find, &left_out, page * PAGE, PAGE).await?;
        Ok(Self {
            here,
            roles: store::roles(db).await?,
            skills: store::skills(db).await?,
            burns: store::burns(db)
                .await?
                .into_iter()
                .map(|(id, name, on)| (id, format!("{name}, {}", words::day(on))))
                .collect(),
            organizations: store::organizations(db, OFFERED).await?,
            people: in_order(db, &ids).await?.iter().map(line).collect(),
            find: find.clone(),
            chosen,
            count,
            page: page + 1,
            pages,
        })
    }

    /// The numbers of those who are ticked.
    #[must_use]
    pub fn ids(&self) -> Vec<i64> {
        self.chosen.iter().map(|line| line.id).collect()
    }

    /// Can all that fit be ticked with one press?
    #[must_use]
    pub fn offers_all(&self) -> bool {
        !self.find.is_empty() && (1..=MOST_AT_ONCE).contains(&self.count)
    }

    /// Are there more than fit on one page, or is something looked for?
    #[must_use]
    pub fn is_long(&self) -> bool {
        self.pages > 1 || !self.find.is_empty()
    }

    /// The address of another page of the same, beside this one.
    #[must_use]
    pub fn at(&self, page: usize) -> String {
        let Find { find, find_role, find_organization, find_skill, find_yes, .. } = &self.find;
        let text = query_escape;
        format!(
            "?find={}&find_role={}&find_organization={}&find_skill={}&find_yes={}&find_act={page}#whom",
            text(find),
            text(find_role),
            text(find_organization),
            text(find_skill),
            text(find_yes)
        )
    }

    /// "101 to 200 of 312 people".
    #[must_use]
    pub fn says(&self) -> String {
        let (all, first) = (words::count(self.count, "person", "people"), (self.page - 1) * PAGE + 1);
        if self.pages == 1 { all } else { format!("{first} to {} of {all}", first + self.people.len() - 1) }
    }
}

/// The names that hold what is typed, to go on typing with.
///
/// # Errors
/// The store's.
pub async fn names(db: &mut SqliteConnection, typed: &str, most: usize) -> Result<Vec<String>> {
    store::names(db, typed, i64::try_from(most)?).await
}

async fn in_order(db: &mut SqliteConnection, ids: &[i64]) -> Result<Vec<Person>> {
    let mut people = some(db, ids).await?;
    people.sort_by_key(|person| ids.iter().position(|id| *id == person.id));
    Ok(people)
}

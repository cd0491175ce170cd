//! A page of people to choose from.

use super::find::Find;
use super::store;
use crate::error::Result;
use crate::people::person::{Name, Person};
use crate::people::store::some;
use crate::web::query::query_escape;
use crate::web::words::{self, Reader};
use serde::Serialize;
use sqlx::SqliteConnection;

/// People on one page.
const PAGE: usize = 100;
/// How many can be checked at once.
const MOST_AT_ONCE: usize = 500;
/// How many can be chosen in all: all of them are sent with every click.
const MOST_CHOSEN: usize = 1_000;
/// How many organizations are suggested.
const OFFERED: i64 = 100;

/// Someone to choose.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Line {
    pub id: i64,
    pub name: String,
    pub detail: String,
}

/// A page of people to choose from.
#[derive(Debug)]
pub struct Chooser {
    /// Where the form is sent.
    pub here: String,
    pub find: Find,
    /// Values and labels.
    pub roles: Vec<(String, String)>,
    pub skills: Vec<Name>,
    pub burns: Vec<(String, String)>,
    pub organizations: Vec<String>,
    /// People who are checked.
    pub chosen: Vec<Line>,
    /// One page of the others who match.
    pub people: Vec<Line>,
    /// How many others match.
    pub count: usize,
    /// Counted from 1.
    pub page: usize,
    pub pages: usize,
    /// The numbers of people who can't be chosen.
    pub without: Vec<i64>,
}

impl Chooser {
    /// The people who match a search, with those who are checked, and without some.
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
                .map(|(id, name, on)| (id, format!("{name}, {}", Reader::App.day(on))))
                .collect(),
            organizations: store::organizations(db, OFFERED).await?,
            people: in_order(db, &ids).await?.iter().map(line).collect(),
            find: find.clone(),
            chosen,
            count,
            page: page + 1,
            pages,
            without: without.to_vec(),
        })
    }

    /// The numbers of the people who are checked.
    #[must_use]
    pub fn ids(&self) -> Vec<i64> {
        self.chosen.iter().map(|line| line.id).collect()
    }

    /// Can everyone who matches be checked at once?
    #[must_use]
    pub fn offers_all(&self) -> bool {
        !self.find.is_empty() && (1..=MOST_AT_ONCE).contains(&self.count)
    }

    /// Are there more people than fit on one page, or did someone search?
    #[must_use]
    pub fn is_long(&self) -> bool {
        self.pages > 1 || !self.find.is_empty()
    }

    /// The address of another page of the same search, relative to this page.
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

pub(super) async fn in_order(db: &mut SqliteConnection, ids: &[i64]) -> Result<Vec<Person>> {
    let mut people = some(db, ids).await?;
    people.sort_by_key(|person| ids.iter().position(|id| *id == person.id));
    Ok(people)
}

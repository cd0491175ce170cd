//! What a call sheet says, in no words: what people typed, names, days, and minutes. Another
//! version of the program may word a sheet in another way, and it is still the same sheet.

use crate::calc::duties::Duty;
use crate::crew::reply_status::ReplyStatus;
use crate::crew::snapshot::CrewSnapshot;
use crate::crew::{Assignment, Hours, Post, RuleOverride};
use crate::events::{Coordinates, VisitorFacts};
use crate::web::words;
use serde_json::{Value, json};
use sha2::{Digest, Sha256};
use time::Date;

/// The duties that every sheet names someone for.
pub(super) const IN_CHARGE: [Duty; 3] = [Duty::IncidentCommander, Duty::SafetyOfficer, Duty::BurnBoss];

#[derive(Debug, Clone, PartialEq)]
pub(super) struct Content {
    pub burn_on: Date,
    pub site: String,
    pub visitors: VisitorFacts,
    /// Their positions, but for those they declined or are no longer wanted in.
    pub posts: Vec<PostContent>,
    /// The rain date, and their answer for it.
    pub rain: Option<(Date, ReplyStatus)>,
    /// Who is in charge: the duties that someone said yes to, with their names.
    pub in_charge: Vec<(Duty, Vec<String>)>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct PostContent {
    pub name: String,
    pub is_standby: bool,
    pub hours: Hours,
    pub spot: String,
    pub reports_to: String,
    pub wear: String,
    pub bring: String,
    pub cautions: String,
    /// The names of those who are there too.
    pub with: Vec<String>,
    pub overridden: Option<RuleOverride>,
}

impl Content {
    /// None for someone without a position.
    pub fn of(snapshot: &CrewSnapshot, person_id: i64) -> Option<Self> {
        let details = &snapshot.event.details;
        let on = details.burn_on;
        let theirs = snapshot.posts_of(person_id);
        let first = snapshot.first_post_of(person_id)?;
        let is_on_it =
            |one: &Assignment| !snapshot.is_withdrawn(one) && snapshot.status(one, on) != ReplyStatus::Declined;
        let posts = theirs.iter().filter(|(one, _)| is_on_it(one));
        Some(Self {
            burn_on: on,
            site: details.site.clone(),
            visitors: details.visitors.clone(),
            posts: posts.map(|(one, post)| PostContent::of(snapshot, one, post)).collect(),
            rain: details.rain_on.map(|rain| (rain, snapshot.status(first, rain))),
            in_charge: IN_CHARGE.iter().map(|duty| (*duty, in_charge(snapshot, *duty))).collect(),
        })
    }

    /// Tells this sheet from every other one. It is stored with each email that holds the
    /// sheet, so the way it is made must stay: with another one, everyone's sheet would
    /// count as changed.
    pub fn key(&self) -> String {
        let posts: Vec<Value> = self.posts.iter().map(PostContent::values).collect();
        let rain = self.rain.map(|(on, said)| json!([words::iso(on), mark(said)]));
        let named = self.in_charge.iter().filter(|(_, names)| !names.is_empty());
        let in_charge: Vec<Value> = named.map(|(duty, names)| json!([duty.as_str(), sorted(names)])).collect();
        let place = self.visitors.place.map(Coordinates::geo_value);
        let clothing = if self.has_own_clothing() { "" } else { self.visitors.clothing.as_str() };
        let visitors = json!([self.visitors.address, place, self.visitors.parking, clothing]);
        short_hash(&json!([words::iso(self.burn_on), self.site, visitors, posts, rain, in_charge]).to_string())
    }

    /// Does a position say what to wear? Then that counts, and not what everyone wears.
    pub fn has_own_clothing(&self) -> bool {
        self.posts.iter().any(|post| !post.wear.is_empty())
    }
}

impl PostContent {
    fn of(snapshot: &CrewSnapshot, one: &Assignment, post: &Post) -> Self {
        let here = snapshot.at(post.id, snapshot.event.details.burn_on);
        let others = here.iter().filter(|other| {
            other.person.id != one.person_id && other.status == ReplyStatus::Confirmed && !other.assignment.is_standby
        });
        let details = &post.details;
        Self {
            name: details.name.clone(),
            is_standby: one.is_standby,
            hours: details.hours,
            spot: details.spot.clone(),
            reports_to: details.reports_to.clone(),
            wear: details.wear.clone(),
            bring: details.bring.clone(),
            cautions: details.cautions.clone(),
            with: others.map(|other| other.person.details.name.clone()).collect(),
            overridden: one.rule_override.clone(),
        }
    }

    fn values(&self) -> Value {
        let overridden = self.overridden.as_ref().map(|one| json!([one.keys, one.reason, one.by]));
        json!([
            self.name,
            self.is_standby,
            self.hours.from,
            self.hours.until,
            self.spot,
            self.reports_to,
            self.wear,
            self.bring,
            self.cautions,
            sorted(&self.with),
            overridden
        ])
    }
}

/// The names of those who said yes to a duty.
fn in_charge(snapshot: &CrewSnapshot, duty: Duty) -> Vec<String> {
    let posts = snapshot.posts.iter().filter(|post| post.details.duty == duty);
    let here = posts.flat_map(|post| snapshot.at(post.id, snapshot.event.details.burn_on));
    let there = here.filter(|one| one.status == ReplyStatus::Confirmed && !one.assignment.is_standby);
    there.map(|one| one.person.details.name.clone()).collect()
}

/// An answer for the rain date as a mark. A sheet says the same of someone who was asked
/// about another date as of someone who wasn't asked at all.
fn mark(said: ReplyStatus) -> &'static str {
    match said {
        ReplyStatus::OtherDate(_) => ReplyStatus::NotAsked.as_str(),
        other => other.as_str(),
    }
}

/// Names in an order that says nothing.
fn sorted(names: &[String]) -> Vec<&str> {
    let mut names: Vec<&str> = names.iter().map(String::as_str).collect();
    names.sort_unstable();
    names
}

/// Tells two texts apart.
pub(super) fn short_hash(text: &str) -> String {
    let digest = Sha256::digest(text.as_bytes());
    let first: [u8; 8] = std::array::from_fn(|place| digest[place]);
    format!("{:016x}", u64::from_be_bytes(first))
}

#[cfg(test)]
pub(super) mod tests;

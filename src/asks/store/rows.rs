//! The rows of questions, dates and answers, and how they become questions.

use crate::asks::{Answer, Ask, Hours, Request};
use crate::error::{Error, Result};
use anyhow::anyhow;
use serde::Deserialize;
use std::collections::HashMap;
use time::{Date, OffsetDateTime};

#[derive(Debug, Deserialize)]
pub(super) struct RequestRow {
    pub id: i64,
    pub event_id: i64,
    pub person_id: i64,
    pub kind: String,
    pub question: String,
    pub facts: String,
    pub words: String,
    pub closes_at: i64,
    pub asked_at: i64,
    pub asked_by: Option<i64>,
    pub withdrawn_at: Option<i64>,
    pub link_number: i64,
    pub version: i64,
}

#[derive(Debug, Deserialize)]
pub(super) struct AskRow {
    pub id: i64,
    pub request_id: i64,
    pub for_on: Date,
    pub date_revision: i64,
    pub lapsed_at: Option<i64>,
}

#[derive(Debug, Deserialize)]
pub(super) struct AnswerRow {
    pub ask_id: i64,
    pub said: String,
    pub deputy: String,
    pub deputy_title: String,
    pub deputy_phone: String,
    pub deputy_mail: String,
    pub wants_to_speak: Option<i64>,
    pub note: String,
    pub access_needs: String,
    pub party: Option<i64>,
    pub from_min: Option<i64>,
    pub until_min: Option<i64>,
    pub channel: String,
    pub evidence: String,
    pub at: i64,
    pub recorded_by: Option<String>,
}

fn unknown(what: &str) -> Error {
    Error::Internal(anyhow!("an unknown {what} in the store"))
}

impl RequestRow {
    fn request(self, asks: Vec<Ask>) -> Result<Request> {
        Ok(Request {
            id: self.id,
            event_id: self.event_id,
            person_id: self.person_id,
            kind: self.kind.parse().map_err(|_| unknown("kind of question"))?,
            question: self.question,
            facts: serde_json::from_str(&self.facts)?,
            words: self.words,
            closes_at: OffsetDateTime::from_unix_timestamp(self.closes_at)?,
            asked_at: OffsetDateTime::from_unix_timestamp(self.asked_at)?,
            asked_by: self.asked_by,
            is_withdrawn: self.withdrawn_at.is_some(),
            link_number: self.link_number,
            version: self.version,
            asks,
        })
    }
}

impl AnswerRow {
    fn answer(self) -> Result<Answer> {
        Ok(Answer {
            said: self.said.parse().map_err(|_| unknown("answer"))?,
            deputy: self.deputy,
            deputy_title: self.deputy_title,
            deputy_phone: self.deputy_phone,
            deputy_mail: self.deputy_mail,
            wants_to_speak: self.wants_to_speak.map(|wants| wants != 0),
            note: self.note,
            access_needs: self.access_needs,
            party: self.party.map(u32::try_from).transpose()?,
            there: match self.from_min.zip(self.until_min) {
                Some((from, until)) => Some(Hours { from: u16::try_from(from)?, until: u16::try_from(until)? }),
                None => None,
            },
            way: self.channel.parse().map_err(|_| unknown("way of an answer"))?,
            evidence: self.evidence,
            at: OffsetDateTime::from_unix_timestamp(self.at)?,
            recorded_by: self.recorded_by,
        })
    }
}

pub(super) fn assemble(requests: Vec<RequestRow>, asks: Vec<AskRow>, answers: Vec<AnswerRow>) -> Result<Vec<Request>> {
    let mut said: HashMap<i64, Vec<Answer>> = HashMap::new();
    for row in answers {
        said.entry(row.ask_id).or_default().push(row.answer()?);
    }
    let mut dates: HashMap<i64, Vec<Ask>> = HashMap::new();
    for row in asks {
        let answers = said.remove(&row.id).unwrap_or_default();
        let ask = Ask {
            id: row.id,
            for_on: row.for_on,
            date_revision: row.date_revision,
            is_lapsed: row.lapsed_at.is_some(),
            answers,
        };
        dates.entry(row.request_id).or_default().push(ask);
    }
    requests
        .into_iter()
        .map(|row| {
            let asks = dates.remove(&row.id).unwrap_or_default();
            row.request(asks)
        })
        .collect()
}

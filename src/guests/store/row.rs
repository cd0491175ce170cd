//! A row of the table of guests.

use super::unknown::unknown;
use crate::error::Result;
use crate::guests::guest::{Day, Details, Guest};
use time::Date;

pub(super) struct Row {
    pub id: i64,
    pub event_id: i64,
    pub person_id: i64,
    pub side: String,
    pub level: String,
    pub office_id: Option<i64>,
    pub sponsor_level_id: Option<i64>,
    pub address: String,
    pub in_own: Option<i64>,
    pub since: String,
    pub is_former: i64,
    pub responsible_id: Option<i64>,
    pub chased_on: Option<Date>,
    pub signer_id: Option<i64>,
    pub seconds: i64,
    pub gives: String,
    pub least: i64,
    pub priority: i64,
    pub microphone: String,
    pub met_by: String,
    pub seat: String,
    pub arrives: String,
    pub parking: String,
    pub clothing: String,
    pub press: String,
    pub also_comes: String,
    pub place: Option<i64>,
    pub place_reason: String,
    pub day_on: Option<Date>,
    pub is_here: Option<i64>,
    pub day_deputy: String,
    pub day_deputy_title: String,
    pub day_deputy_phone: String,
    pub day_deputy_mail: String,
    pub version: i64,
}

impl Row {
    pub fn guest(self) -> Result<Guest> {
        Ok(Guest {
            id: self.id,
            event_id: self.event_id,
            person_id: self.person_id,
            details: Details {
                side: self.side.parse().map_err(|_| unknown("side"))?,
                level: self.level.parse().map_err(|_| unknown("level"))?,
                office: self.office_id,
                sponsor_level: self.sponsor_level_id,
                address: self.address,
                in_own: self.in_own.map(|own| own != 0),
                since: self.since,
                is_former: self.is_former != 0,
                responsible: self.responsible_id,
                seconds: u32::try_from(self.seconds)?,
                gives: self.gives.parse().map_err(|_| unknown("way to give"))?,
                least: u32::try_from(self.least)?,
                priority: u8::try_from(self.priority)?,
                microphone: self.microphone,
                met_by: self.met_by,
                seat: self.seat,
                arrives: self.arrives,
                parking: self.parking,
                clothing: self.clothing,
                press: self.press,
                also_comes: self.also_comes,
            },
            place: self.place.map(usize::try_from).transpose()?.map(|place| (place, self.place_reason)),
            chased_on: self.chased_on,
            signer_id: self.signer_id,
            day: Day {
                on: self.day_on,
                is_here: self.is_here.map(|here| here != 0),
                deputy: self.day_deputy,
                deputy_title: self.day_deputy_title,
                deputy_phone: self.day_deputy_phone,
                deputy_mail: self.day_deputy_mail,
            },
            version: self.version,
        })
    }
}

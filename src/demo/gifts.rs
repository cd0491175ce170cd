//! Gifts from sponsors to the demo's burn, and two sentences of thanks.

use crate::asks::Sender;
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::Event;
use crate::gifts::{
    self, Basis, Cents, Credit, Details, Gift, GiftStatus, InName, Recognition, Returned, Value, What, receipt_letter,
};
use crate::mail;
use crate::people::{self, Person};
use crate::thanks::{self, Day, Whom};
use time::macros::time;
use time::{Date, Duration, OffsetDateTime};

/// The status of a gift, in days from today.
enum Now {
    /// Expected this many days from today.
    For(i64),
    /// Received this many days ago.
    Here(i64),
    NotComing,
}

struct Sample {
    giver: &'static str,
    what: &'static str,
    quantity: &'static str,
    /// Dollars, for money.
    amount: Option<i64>,
    /// The value of goods in dollars, and the basis for it.
    worth: Option<(i64, Basis)>,
    now: Now,
    /// How to credit the donor; empty if that isn't agreed yet.
    credited_as: &'static str,
    return_said: bool,
}

const PLAIN: Sample = Sample {
    giver: "",
    what: "",
    quantity: "",
    amount: None,
    worth: None,
    now: Now::NotComing,
    credited_as: "",
    return_said: true,
};

const GIFTS: [Sample; 7] = [
    Sample {
        giver: "Gideon Astley",
        what: "sheets of gypsum board",
        quantity: "12",
        worth: Some((310, Basis::FairMarket)),
        now: Now::Here(6),
        credited_as: "Both rooms were built with boards from Bend Lumber Yard",
        ..PLAIN
    },
    Sample {
        giver: "Leocadia Brandt",
        what: "printed programs and survey cards",
        amount: Some(500),
        now: Now::Here(2),
        credited_as: "Printed with the help of Alder Bend Hardware",
        ..PLAIN
    },
    Sample {
        giver: "Bartholomew Singh",
        what: "sprinkler branch line with two heads, installed",
        quantity: "1",
        worth: Some((640, Basis::GiversWord)),
        now: Now::For(-9),
        credited_as: "Sprinkler installed by Alder Sprinkler Fitters",
        return_said: false,
        ..PLAIN
    },
    Sample {
        giver: "Anselm Fairweather",
        what: "matching three-seat sofas",
        quantity: "2",
        worth: Some((900, Basis::GiversWord)),
        now: Now::For(18),
        return_said: false,
        ..PLAIN
    },
    Sample {
        giver: "Delphine Arceneaux",
        what: "shelter and heaters for the audience",
        amount: Some(1_500),
        now: Now::For(21),
        return_said: false,
        ..PLAIN
    },
    Sample {
        giver: "Henrietta Zamora",
        what: "first-aid cards for burns",
        quantity: "300",
        now: Now::Here(11),
        return_said: false,
        ..PLAIN
    },
    Sample { giver: "Philippa Nakamura", what: "pair of armchairs", now: Now::NotComing, return_said: false, ..PLAIN },
];

impl Sample {
    fn details(&self, person: &Person, today: Date) -> Details {
        let what = match self.amount {
            Some(dollars) => What::Money { amount: Cents::new(dollars * 100), purpose: self.what.to_owned() },
            None => What::Goods {
                description: self.what.to_owned(),
                quantity: self.quantity.to_owned(),
                value: self.worth.map(|(dollars, basis)| Value {
                    worth: Cents::new(dollars * 100),
                    basis,
                    on: today - Duration::days(20),
                    by: if basis == Basis::GiversWord {
                        person.details.name.clone()
                    } else {
                        "Priya Okafor".to_owned()
                    },
                }),
            },
        };
        let (promised_by, status) = match self.now {
            Now::For(days) => (Some(today + Duration::days(days)), GiftStatus::Promised),
            Now::Here(days) => {
                let on = today - Duration::days(days);
                (Some(on + Duration::DAY), GiftStatus::Received { on, taken_by: "Tomás Brandt".to_owned() })
            }
            Now::NotComing => (None, GiftStatus::NotComing),
        };
        let is_agreed = !self.credited_as.is_empty();
        let credit = Credit {
            recognition: if is_agreed { Recognition::Agreed } else { Recognition::Open },
            credited_as: self.credited_as.to_owned(),
            agreed_by: if is_agreed { person.details.name.clone() } else { String::new() },
            agreed_on: is_agreed.then(|| today - Duration::days(20)),
            logo: if is_agreed { "On the last page of the program, in black".to_owned() } else { String::new() },
        };
        Details {
            person_id: person.id,
            in_name: InName::Organization,
            what,
            promised_on: today - Duration::days(30),
            promised_by,
            status,
            returned: if self.return_said { Returned::Nothing } else { Returned::Unsaid },
            credit,
            notes: String::new(),
        }
    }
}

/// Adds them. The first donor gets a receipt by email.
pub(super) async fn fill(tx: &mut Tx, account: i64, sender: &Sender, event: &Event, now: OffsetDateTime) -> Result<()> {
    let (actor, today) = (Actor::Account(account), event.today(now));
    let at = |days: i64| event.details.zone.instant(today - Duration::days(days), time!(15:40)).unwrap_or(now).min(now);
    let everyone = people::everyone(tx).await?;
    let known = |name: &str| everyone.iter().find(|person| person.details.name == name);
    for gift in &GIFTS {
        let Some(person) = known(gift.giver) else { continue };
        let id = gifts::add(tx, actor, event.id, &gift.details(person, today), at(12)).await?;
        if let (Some(added), "Gideon Astley") = (gifts::find(tx, event.id, id).await?, gift.giver) {
            mail_receipt(tx, account, &added, (person, sender), at(5)).await?;
        }
    }
    thank(tx, actor, event, &everyone, at(1)).await
}

async fn mail_receipt(
    tx: &mut Tx,
    account: i64,
    gift: &Gift,
    (person, sender): (&Person, &Sender),
    at: OffsetDateTime,
) -> Result<()> {
    let Ok(receipt) = gifts::receipt(gift, &sender.department) else { return Ok(()) };
    let letter = receipt_letter(gift, &receipt, (person, sender), 0, at)?;
    if let Some(id) = mail::queue(tx, &letter, at).await? {
        mail::note_past(tx, id, None, at + Duration::MINUTE).await?;
        gifts::add_receipt(tx, account, gift, &receipt, Some(id), at).await?;
    }
    Ok(())
}

/// Adds the person who signs the thanks, and the sentences written so far.
async fn thank(tx: &mut Tx, actor: Actor, event: &Event, everyone: &[Person], at: OffsetDateTime) -> Result<()> {
    let day = Day { signed_by: "Fenwick Tamura".to_owned(), signed_as: "Fire chief".to_owned(), ..Day::default() };
    thanks::save_day(tx, actor, event, &day, at).await?;
    let sentences = [
        ("Gideon Astley", "The boards arrived two days early, so we could finish both rooms at once."),
        ("Leocadia Brandt", "Without the cards, we would not know what people took home with them."),
    ];
    for (name, sentence) in sentences {
        let Some(person) = everyone.iter().find(|person| person.details.name == name) else { continue };
        thanks::save_draft(tx, actor, event.id, (Whom::person(person.id), name), (sentence, 0), at).await?;
    }
    Ok(())
}

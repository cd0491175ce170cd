//! The people the demo's department knows: all made up, and two of them in there twice.

use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::people::{self, Channel, Details};
use time::OffsetDateTime;

/// Name, organization, office, jurisdiction, email before "@example.org", last two digits of
/// the phone.
type Known = (&'static str, &'static str, &'static str, &'static str, &'static str, &'static str);

const PEOPLE: [Known; 41] = [
    ("Ingrid Solberg-Wray", "", "Commissioner", "Alder County", "i.solberg-wray", "20"),
    ("Cassius Oduya", "", "Commissioner", "Alder County", "c.oduya", "21"),
    ("Marguerite Vance", "", "Mayor", "City of Alder Bend", "mayor", "22"),
    ("Hollis Pruett", "", "City manager", "City of Alder Bend", "h.pruett", "23"),
    ("Teodora Lindqvist", "", "Council member", "City of Alder Bend", "t.lindqvist", "24"),
    ("Obadiah Crane", "", "State representative", "District 31", "o.crane", "25"),
    ("Yusra Halloran", "", "State senator", "District 12", "y.halloran", "26"),
    ("Fenwick Tamura", "Alder Bend Fire District", "Fire chief", "", "f.tamura", "27"),
    ("Rosalind Achterberg", "Alder County Air Office", "Permit officer", "Alder County", "r.achterberg", "28"),
    ("Desmond Kwiatkowski", "Alder County Building Office", "Building official", "Alder County", "d.kwiatkowski", "29"),
    ("Leocadia Brandt", "Alder Bend Hardware", "", "", "leocadia", "30"),
    ("L. Brandt", "Alder Bend Hardware", "", "", "", "30"),
    ("Anselm Fairweather", "Fairweather Furniture", "", "", "anselm", "31"),
    ("Philippa Nakamura", "Second Hand Row", "", "", "philippa", "32"),
    ("Gideon Astley", "Bend Lumber Yard", "", "", "gideon", "33"),
    ("Xiomara Petrenko", "Bend Lumber Yard", "", "", "xiomara", "34"),
    ("Bartholomew Singh", "Alder Sprinkler Fitters", "", "", "b.singh", "35"),
    ("Noor Templeton", "Alder Sprinkler Fitters", "", "", "n.templeton", "36"),
    ("Clementine Ashgrove", "Alder Bend Gazette", "", "", "clementine", "37"),
    ("Ashgrove, Clementine", "", "", "", "news", "37"),
    ("Rafferty Stone", "Alder Bend Gazette", "", "", "rafferty", "38"),
    ("Zdenka Moravec", "Radio Bend", "", "", "zdenka", "39"),
    ("Isidore Blackwood", "Radio Bend", "", "", "isidore", "40"),
    ("Wilhelmina Oyelaran", "River Valley Television", "", "", "wilhelmina", "41"),
    ("Cosmo Delacroix-Hill", "River Valley Television", "", "", "cosmo", "42"),
    ("Ana Ruiz", "Alder Bend Fire District", "", "", "ana", "43"),
    ("Odette Marsh", "Alder Bend Fire District", "", "", "odette", "44"),
    ("Beatrix Svoboda", "Neighbors of East Bend", "", "", "beatrix", "45"),
    ("Lysander Mbeki", "Neighbors of East Bend", "", "", "lysander", "46"),
    ("Eugenia Fontaine", "Alder Bend School District", "", "", "eugenia", "47"),
    ("Thaddeus Rourke", "Alder Bend School District", "", "", "thaddeus", "48"),
    ("Saoirse Whitlock", "Bend Sign Language Services", "", "", "saoirse", "49"),
    ("Emeka Lindgren", "Alder County Burn Center", "", "", "emeka", "50"),
    ("Henrietta Zamora", "Alder County Burn Center", "", "", "henrietta", "51"),
    ("Piers Okonjo", "Homebuilders of Alder County", "", "", "piers", "52"),
    ("Delphine Arceneaux", "Homebuilders of Alder County", "", "", "delphine", "53"),
    ("Matthias Quill", "", "", "", "matthias", "54"),
    ("Rúna Þórsdóttir", "", "", "", "runa", "55"),
    ("José Álvarez", "", "", "", "jose", "56"),
    ("Winifred Tran", "", "", "", "", "57"),
    ("Ottoline Baptiste", "Fairground Trust", "", "", "ottoline", "58"),
];

/// Adds them. People with tasks are already known by name.
pub async fn fill(tx: &mut Tx, officer: Actor, at: OffsetDateTime) -> Result<()> {
    for (name, organization, office, jurisdiction, mail, phone) in PEOPLE {
        let mail = if mail.is_empty() { String::new() } else { format!("{mail}@example.org") };
        let details = Details {
            organization: organization.to_owned(),
            office: office.to_owned(),
            jurisdiction: jurisdiction.to_owned(),
            channel: if mail.is_empty() { Channel::Phone } else { Channel::Mail },
            mail,
            phone: format!("555-01{phone}"),
            ..more(name)
        };
        people::add(tx, officer, &details, at).await?;
    }
    Ok(())
}

/// What else is known about some of them.
fn more(name: &str) -> Details {
    let plain = Details::of_name(name);
    let text = str::to_owned;
    match name {
        "Ingrid Solberg-Wray" => Details {
            said: text("SOHL-berg RAY"),
            notes: text("Her office replies by letter. If nothing comes, call after a week."),
            ..plain
        },
        "Marguerite Vance" => Details { said: text("mar-guh-REET VANTS"), ..plain },
        "Cassius Oduya" => Details { said: text("oh-DOO-yah"), ..plain },
        "Rúna Þórsdóttir" => {
            Details { said: text("ROO-nah THORS-dot-teer"), access_needs: text("A seat near the front."), ..plain }
        }
        "Lysander Mbeki" => {
            Details { access_needs: text("Uses a wheelchair. Needs a step-free path to the spectator line."), ..plain }
        }
        "Matthias Quill" => Details { no_mail: true, notes: text("Volunteer since the first burn."), ..plain },
        _ => plain,
    }
}

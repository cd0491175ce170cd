//! Files whose first row names no columns, and the sample file.

use crate::directory::{keep, look, names};
use crate::support::TestApp;
use burnday::accounts::Role;

const ROWS: &str = "Ana Ruiz,Alder Bend Hardware,ana@example.org,555-0101\n\
                    Ivo Lund,,ivo@example.org,555-0102\n\
                    Odette Marsh,Gazette,,555-0103\n";

#[tokio::test]
async fn a_table_without_a_heading_keeps_its_first_row() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let (number, page) = look(&mut olga, "list.csv", ROWS.as_bytes()).await;
    assert_eq!((page.status, page.all("[data-asks=columns]").len()), (200, 1));
    assert_eq!(page.attributes("[name=heading][checked]", "value"), ["no"]);
    let columns = page.attributes("select[name=column] option[selected]", "value");
    assert_eq!(columns, ["name", "organization", "mail", "phone"]);
    assert_eq!(page.all("tbody tr").iter().filter(|row| row.contains("Ana Ruiz")).count(), 2, "example and sample");
    // Nobody has checked the columns yet.
    assert_eq!(keep(&mut olga, &number).await.status, 422);

    let chosen = |act: &'static str| {
        let columns = columns.iter().map(|column| ("column", column.as_str()));
        let heading = [("file", number.as_str()), ("heading", "no"), ("heading_seen", "no"), ("act", act)];
        heading.into_iter().chain(columns).collect::<Vec<_>>()
    };
    let again = olga.post("/people/import", &chosen("look")).await;
    assert_eq!(olga.get(again.location()).await.all("[data-asks=columns]").len(), 0);
    assert_eq!(olga.post("/people/import", &chosen("keep")).await.status, 303);
    for (who, at) in
        [("ana hardware 555-0101", "Ruiz, Ana"), ("ivo@example.org", "Lund, Ivo"), ("gazette", "Marsh, Odette")]
    {
        assert_eq!(names(&mut olga, who).await, [at]);
    }
}

#[tokio::test]
async fn the_person_who_sends_a_table_says_whether_its_first_row_is_a_heading() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    // "County" is a column name, and here it is someone's county.
    let (number, page) = look(&mut olga, "list.csv", b"Ana Ruiz,County\nIvo Lund,City\n").await;
    assert_eq!(page.attributes("[name=heading][checked]", "value"), ["yes"]);
    let to =
        |heading: &'static str, seen: &'static str| [("heading", heading), ("heading_seen", seen), ("act", "look")];
    for (heading, seen, people) in [("no", "yes", "2"), ("yes", "no", "1"), ("no", "yes", "2")] {
        let fields: Vec<_> = [("file", number.as_str())].into_iter().chain(to(heading, seen)).collect();
        let page = olga.post("/people/import", &fields).await;
        let page = olga.get(page.location()).await;
        assert_eq!(page.mark("[data-file='list.csv']", "people"), people, "{heading}");
        assert_eq!(page.attributes("[name=heading][checked]", "value"), [heading]);
    }
    let keep = [("file", number.as_str()), ("column", "name"), ("column", "office"), ("act", "keep")];
    assert_eq!(olga.post("/people/import", &keep).await.status, 303);
    assert_eq!(names(&mut olga, "ana ruiz").await, ["Ruiz, Ana"]);
}

#[tokio::test]
async fn nothing_asks_whether_cards_have_a_heading() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let cards = b"BEGIN:VCARD\nVERSION:4.0\nFN:Ana Ruiz\nEMAIL:ana@example.org\nEND:VCARD\n";
    let (number, page) = look(&mut olga, "cards.vcf", cards).await;
    assert_eq!(page.all("[name=heading], [data-asks=columns]").len(), 0);
    assert_eq!(keep(&mut olga, &number).await.status, 303);
    assert_eq!(names(&mut olga, "ana@example.org").await, ["Ruiz, Ana"]);
}

#[tokio::test]
async fn people_who_import_files_can_get_the_sample() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let page = olga.get("/people/import").await;
    let sample = page.attributes("a[download]", "href").concat();
    assert!(page.all("[data-column]").len() > 60, "the column names we know");
    let file = olga.get(&sample).await;
    assert!(file.header("content-type").starts_with("text/csv"));
    let (number, page) = look(&mut olga, "people-sample.csv", file.body.as_bytes()).await;
    assert_eq!(page.all("[data-asks=columns], .note li").len(), 0);
    let before = names(&mut olga, "").await.len();
    assert_eq!(keep(&mut olga, &number).await.status, 303);
    assert_eq!(names(&mut olga, "").await.len(), before + 4);

    assert_eq!(test.somebody(Role::CrewLead).await.get(&sample).await.status, 403);
    assert_eq!(test.stranger().get(&sample).await.status, 303);
}

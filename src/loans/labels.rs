//! Labels for borrowed items: what it is, who lent it, and a code that opens its page.

use super::loan::Loan;
use super::snapshot::LoanSnapshot;
use super::{page, store};
use crate::accounts::{Department, SignedIn};
use crate::error::{Error, Result};
use crate::state::App;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::get;
use crate::web::words::Reader;
use anyhow::anyhow;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use axum_extra::extract::Query;
use qrcode::render::svg;
use qrcode::{EcLevel, QrCode};
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/loans/labels", get(labels)).route("/loans/{id}", get(from_label))
}

#[derive(Template)]
#[template(path = "loans/labels.html")]
struct Labels {
    page: Page,
    event_id: i64,
    labels: Vec<Label>,
    alone: bool,
}

struct Label {
    what: String,
    lender: String,
    serial: String,
    back: String,
    department: String,
    phone: String,
    address: String,
    svg: String,
}

/// The address that a label opens. It is short, because a code with fewer squares can be
/// read from farther away.
fn address(base_url: &str, loan_id: i64) -> String {
    format!("{base_url}/loans/{loan_id}")
}

/// The code as an image for a page. It still reads with a quarter of it dirty or torn.
fn code(address: &str, says: &str) -> Result<String> {
    let code = QrCode::with_error_correction_level(address, EcLevel::Q)
        .map_err(|error| Error::Internal(anyhow!("a code for {address}: {error}")))?;
    let image = code.render::<svg::Color<'_>>().min_dimensions(160, 160).quiet_zone(true).build();
    // A page isn't an XML document.
    let image = image.find("<svg").map_or(image.as_str(), |start| &image[start..]);
    let says = says.replace(['"', '<', '>', '&'], " ");
    Ok(image.replacen("<svg", &format!("<svg role=\"img\" aria-label=\"{says}\""), 1))
}

impl Label {
    fn of(snapshot: &LoanSnapshot, loan: &Loan, base_url: &str, department: &Department) -> Result<Self> {
        let address = address(base_url, loan.id);
        let back = Reader::App.day(snapshot.goes_back(loan).on);
        Ok(Self {
            svg: code(&address, &format!("QR code that opens the page of the {}", loan.details.what))?,
            what: loan.title(),
            lender: loan.lender_in_full(),
            serial: loan.details.serial.clone(),
            back,
            department: department.name.clone(),
            phone: department.phone.clone(),
            address,
        })
    }
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Wanted {
    loan: i64,
}

async fn labels(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Query(wanted): Query<Wanted>,
) -> Result<Response> {
    let snapshot = LoanSnapshot::of(&app, id, app.clock.now()).await?;
    let department = &visit.user.department;
    let base_url = app.config.base_url();
    let chosen =
        snapshot.loans.iter().filter(|loan| if wanted.loan == 0 { loan.is_live() } else { loan.id == wanted.loan });
    let label = |loan| Label::of(&snapshot, loan, &base_url, department);
    let labels = chosen.map(label).collect::<Result<Vec<_>>>()?;
    let page = page::page(&app, &visit, &snapshot.event, "Labels").await?;
    show(&Labels { page, event_id: id, labels, alone: wanted.loan != 0 })
}

/// From a label to the page of the loan, whichever event it belongs to.
async fn from_label(State(app): State<App>, SignedIn(_): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let event = store::event_of(&mut *app.db.read().acquire().await?, id).await?.ok_or(Error::NotFound)?;
    Ok(Redirect::to(&format!("/events/{event}/loans/{id}")).into_response())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_is_an_image_with_a_name_and_no_document() {
        let image = code("https://burn.example.org/loans/12", "the \"clock\" & <remote>").unwrap();
        assert!(image.starts_with("<svg role=\"img\" aria-label=\"the  clock     remote \""), "{image}");
        assert!(!image.contains("<?xml") && image.ends_with("</svg>"));
    }
}

//! The drawing as the store keeps it.

use super::basis::Basis;
use super::drawn::Drawn;
use super::refused::Refused;
use super::typed::rounded;
use crate::calc::site::Site;
use crate::web::form::Mistakes;
use serde::{Deserialize, Serialize};

/// At most this many things are on a drawing.
pub const MOST_ITEMS: usize = 400;

/// Everything that can be undone: the things, what the checks rest on, and the photo below.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Plan {
    pub items: Vec<Drawn>,
    /// The highest number that anything ever had here.
    pub last: u32,
    pub basis: Basis,
    /// The number of the change that last changed it.
    #[serde(default)]
    pub basis_version: i64,
    pub photo: Option<Photo>,
}

/// A photo taken from above. Its top left corner is the drawing's.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Photo {
    pub id: i64,
    /// In pixels.
    pub width: u32,
    pub height: u32,
    /// None until someone said how long something on it is.
    pub meters_per_pixel: Option<f64>,
}

impl Plan {
    #[must_use]
    pub fn find(&self, id: u32) -> Option<&Drawn> {
        self.items.iter().find(|item| item.id == id)
    }

    /// Something to change, unless someone else changed it since that version.
    pub(super) fn unchanged(&mut self, id: u32, version: i64) -> Result<&mut Drawn, Refused> {
        let old = self.items.iter_mut().find(|item| item.id == id).ok_or(Refused::Gone)?;
        if old.version == version { Ok(old) } else { Err(Refused::Changed) }
    }

    /// Adds something, with the next number.
    pub fn add(&mut self, drawn: Drawn) -> u32 {
        self.last += 1;
        self.items.push(Drawn { id: self.last, ..drawn });
        self.last
    }

    /// Is nothing on it, not even a photo?
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.items.is_empty() && self.photo.is_none()
    }

    /// Where something new is put: the middle of the drawing, or beside what is there already.
    #[must_use]
    pub fn free_place(&self) -> (f64, f64) {
        let (width, height) = self.extent();
        let taken = |x: f64, y: f64| {
            self.items.iter().any(|drawn| drawn.at.iter().any(|(ox, oy)| (x - ox).hypot(y - oy) < 3.0))
        };
        let places = (0..48_u8).map(|step| {
            let (ring, side) = (f64::from(step / 8) + 1.0, f64::from(step % 8));
            let (sin, cos) = (side * 45.0_f64).to_radians().sin_cos();
            (rounded(width / 2.0 + 5.0 * ring * cos), rounded(height / 2.0 + 5.0 * ring * sin))
        });
        let middle = (rounded(width / 2.0), rounded(height / 2.0));
        std::iter::once(middle).chain(places).find(|(x, y)| !taken(*x, *y)).unwrap_or(middle)
    }

    /// An earlier drawing as a new change: everything has a new version, and no number is
    /// given twice.
    #[must_use]
    pub(super) fn renewed(&self, last: u32, version: i64) -> Self {
        let items = self.items.iter().map(|drawn| Drawn { version, ..drawn.clone() });
        Self { items: items.collect(), last: self.last.max(last), basis_version: version, ..self.clone() }
    }

    /// Width and height of the drawing, in meters.
    #[must_use]
    pub fn extent(&self) -> (f64, f64) {
        let photo = self.photo.as_ref().and_then(|photo| {
            let scale = photo.meters_per_pixel?;
            Some((f64::from(photo.width) * scale, f64::from(photo.height) * scale))
        });
        let (width, height) = photo.unwrap_or((75.0, 55.0));
        let edges = self.items.iter().flat_map(|drawn| drawn.item().edge());
        edges.fold((width, height), |(width, height), place| (width.max(place.x + 5.0), height.max(place.y + 5.0)))
    }

    /// As the checks read it.
    ///
    /// # Errors
    /// What is wrong with what it rests on.
    pub fn site(&self) -> Result<Site, Mistakes> {
        let mut site = self.basis.read()?;
        site.items = self.items.iter().map(Drawn::item).collect();
        Ok(site)
    }
}

//! The site: the sun and shapes against other libraries, the checks, and the pages.

mod checks;
mod pages;
mod properties;
mod shapes;
mod sun;

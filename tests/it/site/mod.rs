//! The site: the sun and shapes against other libraries, the checks, and the pages.

mod sun;

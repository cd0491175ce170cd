//! Burnday: plan, run and review a public side-by-side live burn.

/// Pure computation: dates, plans, staffing, and more.
pub mod calc;

/// What the program does on its own, without a request.
pub mod background;
/// Backups.
pub mod backup;
/// The commands of the command line.
pub mod commands;
/// Settings, and parsing the command line.
pub mod config;
/// Routes and layers, starting and stopping.
pub mod server;
/// What every handler has access to.
pub mod state;
/// Brings stored texts up to this version's words.
pub mod wording;

/// The current time.
pub mod clock;
/// Errors, and the pages they get.
pub mod error;
/// Time zones.
pub mod zone;

/// The store: one database file.
pub mod db;
/// Outgoing email.
pub mod mail;
/// Enums whose values are words.
mod named;
/// Pages, forms, links, and other basics of HTTP.
pub mod web;

/// Accounts, roles, and permissions.
pub mod accounts;
/// Questions to people, and their replies.
pub mod asks;
/// Crew positions and who fills them.
pub mod burn_day;
/// Which days count as working days.
pub mod closed_days;
/// Tasks, counted back from burn day.
pub mod countdown;
pub mod crew;
/// The People pages.
pub mod directory;
/// Events: the burns.
pub mod events;
/// Gifts from sponsors, and their receipts.
pub mod fire;
pub mod gates;
pub mod gifts;
/// Guests: officials, sponsors, and partners.
pub mod guests;
pub mod hashing;
pub mod heavy;
/// Loans and lenders.
pub mod loans;
/// The Email page.
pub mod mail_room;
/// Everyone the department knows.
pub mod people;
/// Permits and notices: types and SQL.
pub mod permit_records;
/// Permits and notices: the pages.
pub mod permits;
/// Photos of items.
pub mod photos;
/// Outlets, releases, and coverage.
pub mod press;
/// Scheduled messages.
pub mod reminders;
/// The two rooms and how well they match.
pub mod rooms;
/// Settings: department, accounts, history.
pub mod settings;
/// The site, drawn to scale and checked.
pub mod site;
/// The presenter's talk.
pub mod talk;
/// Thanks after burn day.
pub mod thanks;

/// The demo: a made-up department.
pub mod demo;

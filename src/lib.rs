//! Burnday: plan, run and review a public side-by-side live burn.

/// The job's computation; pure.
pub mod calc;

/// What the program does by itself.
pub mod background;
/// A copy of everything.
pub mod backup;
/// What the program does when it is started.
pub mod commands;
/// Settings and the command line.
pub mod config;
/// Routes, layers, start and stop.
pub mod server;
/// What every handler gets.
pub mod state;

/// The time it is.
pub mod clock;
/// Five answers besides the right one.
pub mod error;
/// Wall clocks.
pub mod zone;

/// The store.
pub mod db;
/// Mail on its way out.
pub mod mail;
/// Enums with names.
mod named;
/// The HTTP edge.
pub mod web;

/// Who may do what.
pub mod accounts;
/// Questions and answers.
pub mod asks;
/// Which days count as working days.
pub mod closed_days;
/// Tasks counted back from burn day.
pub mod countdown;
/// Who stands where on burn day.
pub mod crew;
/// Everybody in one place.
pub mod directory;
/// The burns themselves.
pub mod events;
/// What sponsors give, and their receipts.
pub mod gifts;
/// Officials and sponsors.
pub mod guests;
pub mod hashing;
pub mod heavy;
/// What is borrowed from whom.
pub mod loans;
/// What goes out by mail, and what became of it.
pub mod mail_room;
/// Everyone the department knows.
pub mod people;
/// What is known of each permit and notice.
pub mod permit_records;
/// Permits and notices, and what to do about them.
pub mod permits;
/// Photos of things.
pub mod photos;
/// Which outlets are told what.
pub mod press;
/// Who is told what when.
pub mod reminders;
/// Whether both rooms are alike.
pub mod rooms;
/// Department, accounts, journal.
pub mod settings;
/// Who is thanked for what after the day.
pub mod thanks;

/// A made-up department.
pub mod demo;

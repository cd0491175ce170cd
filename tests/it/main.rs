//! The app through its router: what people can do and must not be able to do.
#![expect(clippy::unwrap_used, reason = "a test that can't go on should stop there")]

mod accounts;
mod architecture;
mod asks;
mod bad_input;
mod countdown;
mod crash;
mod crew;
mod demo;
mod directory;
mod directory_files;
mod gifts;
mod guests;
mod loans;
mod mail;
mod mail_kill;
mod mail_room;
mod moving;
mod pages;
mod permits;
mod photos;
mod press;
mod program;
mod proposal;
mod reminders;
mod rooms;
mod settings;
mod store;
mod support;
mod thanks;
mod walk;

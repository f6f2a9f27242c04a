//! What leaves the desk: pictures, PDF, lists, sheets, templates, draw lists.
//!
//! One program for the whole theme: linking is what testing costs, in time and on the disk.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has to stop")]

#[path = "../support/build.rs"]
mod build;
#[path = "../support/checked.rs"]
mod checked;

mod export_files;
mod paper_lists;
mod paper_sheets;
mod paper_templates;
mod pdf_files;
mod view_lists;

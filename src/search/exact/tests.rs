//! Whole-module tests.

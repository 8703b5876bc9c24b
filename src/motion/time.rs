//! Running time.

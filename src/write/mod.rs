//! Sheets and programs as bytes. Nothing here opens a file.

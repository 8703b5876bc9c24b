//! The file that keeps the shop's stock: a database of SQLite, opened, made and guarded.
//!
//! Whatever is written is one transaction that has the file for itself from its start; another run waits for it a
//! while. SQLite's own rollback journal undoes what a kill or a full disk broke off, the next time the file is opened.

use crate::cli::Failure;
use crate::cli::folder_error::refusal;
use crate::cli::input;
use rusqlite::{Connection, ErrorCode, OpenFlags, Transaction, TransactionBehavior};
use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// `Flap`, big-endian: what tells our files from other databases (the field `application_id` of SQLite's file format).
const OURS: i32 = 0x466c_6170;
/// The version of the tables.
const VERSION: i32 = 2;
/// The one before, which knew no paper.
const BEFORE: i32 = 1;
/// How long a run waits for another (our choice: longer than any of ours writes).
const PATIENCE: Duration = Duration::from_secs(10);

/// Lengths are millimetres; times are UTC, ISO 8601.
const TABLES: &str = "
-- One row: which shop it is, and the next number of a sheet that is cut.
CREATE TABLE shop (
    id TEXT NOT NULL,
    next INTEGER NOT NULL
) STRICT;
INSERT INTO shop (id, next) VALUES (lower(hex(randomblob(8))), 1);
CREATE TABLE measure (
    id INTEGER PRIMARY KEY,
    stock INTEGER NOT NULL REFERENCES stock (id),
    thickness REAL NOT NULL CHECK (thickness > 0),
    at TEXT NOT NULL
) STRICT;
CREATE TABLE sheet (
    id INTEGER PRIMARY KEY,
    stock INTEGER NOT NULL REFERENCES stock (id),
    width REAL NOT NULL CHECK (width > 0),
    height REAL NOT NULL CHECK (height > 0),
    on_hand INTEGER NOT NULL CHECK (on_hand >= 0),
    price REAL CHECK (price >= 0),
    UNIQUE (stock, width, height)
) STRICT;
-- One row a sheet that was cut. `sheet` is what it was taken off, `was_counted` whether it was on hand by the count.
CREATE TABLE cut (
    id INTEGER PRIMARY KEY,
    folder TEXT NOT NULL,
    name TEXT NOT NULL,
    title TEXT NOT NULL,
    stock INTEGER NOT NULL REFERENCES stock (id),
    width REAL NOT NULL,
    height REAL NOT NULL,
    is_leftover INTEGER NOT NULL CHECK (is_leftover IN (0, 1)),
    sheet INTEGER REFERENCES sheet (id),
    was_counted INTEGER NOT NULL CHECK (was_counted IN (0, 1)),
    at TEXT NOT NULL
) STRICT;
-- `from_cut` is the sheet that it is left of, `cut` the one that it was used up for.
CREATE TABLE leftover (
    id INTEGER PRIMARY KEY,
    stock INTEGER NOT NULL REFERENCES stock (id),
    width REAL NOT NULL CHECK (width > 0),
    height REAL NOT NULL CHECK (height > 0),
    source TEXT NOT NULL,
    from_cut INTEGER REFERENCES cut (id),
    cut INTEGER REFERENCES cut (id),
    at TEXT NOT NULL
) STRICT;
CREATE TABLE machine (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL UNIQUE,
    profile TEXT NOT NULL
) STRICT;
";

/// A table of stocks of a name.
fn stock_table(name: &str) -> String {
    format!(
        "CREATE TABLE {name} (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL UNIQUE,
    kind TEXT NOT NULL CHECK (kind IN ('board', 'cloth', 'paper', 'liner')),
    thickness REAL CHECK (thickness > 0),
    grain TEXT CHECK (grain IN ('width', 'height', 'none')),
    coating TEXT CHECK (coating IN ('unknown', 'none', 'coated')),
    grammage REAL CHECK (grammage > 0)
) STRICT;"
    )
}

/// Whose a database is.
#[derive(Clone, Copy, PartialEq, Eq)]
enum State {
    Ours,
    /// Ours, of the version before.
    Older,
    /// There is nothing in it.
    Blank,
}

/// An open file.
pub(super) struct Store {
    pub(super) path: PathBuf,
    connection: Connection,
}

impl Store {
    /// Opens a file that is there.
    pub(super) fn open(path: &Path) -> Result<Self, Failure> {
        let found = fs::metadata(path).map_err(|e| {
            let hint = match e.kind() {
                std::io::ErrorKind::NotFound => {
                    "is the path right? A new one is made with its first stock: flapwright shop FILE stock NAME --kind board"
                }
                _ => refusal(&e).unwrap_or("is the path right?"),
            };
            Failure::usage(format!("cannot open the shop {}: {}", path.display(), input::plain(&e)), hint.into())
        })?;
        if !found.is_file() {
            return Err(not_ours(path, "it is no file"));
        }
        let mut store = Self::connect(path, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
        match store.state()? {
            State::Ours => Ok(store),
            State::Older => store.renew().map(|()| store),
            State::Blank => Err(not_ours(path, "it is empty")),
        }
    }

    /// Opens a file, or makes it. One that holds nothing at all is taken for a new one: a run may have been killed
    /// before it had made it.
    pub(super) fn open_or_make(path: &Path) -> Result<Self, Failure> {
        if fs::metadata(path).is_ok_and(|found| !found.is_file()) {
            return Self::open(path);
        }
        let mut store = Self::connect(path, OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE)?;
        let state = store.state()?;
        if state == State::Older {
            store.renew()?;
        }
        if state == State::Blank {
            store.write(|of| {
                // Another run may have made it meanwhile.
                let is_made = of.pragma_query_value(None, "application_id", |row| row.get::<_, i32>(0))? == OURS;
                if !is_made {
                    of.execute_batch(&format!(
                        "PRAGMA application_id = {OURS}; PRAGMA user_version = {VERSION}; {} {TABLES}",
                        stock_table("stock")
                    ))?;
                }
                Ok(Ok(()))
            })?;
        }
        Ok(store)
    }

    /// Whose the file is; an error where it is not ours.
    fn state(&self) -> Result<State, Failure> {
        // One look: another run may be making it between two questions.
        let all = self.read(|of| {
            let number = |ask: &str| of.query_row(ask, [], |row| row.get::<_, i32>(0));
            let tables = number("SELECT count(*) FROM sqlite_schema")?;
            Ok((number("PRAGMA application_id")?, number("PRAGMA user_version")?, tables))
        });
        match all? {
            (OURS, VERSION, _) => Ok(State::Ours),
            (OURS, BEFORE, _) => Ok(State::Older),
            (OURS, version, _) => Err(Failure::usage(
                format!("the shop {} is of version {version}, and this program knows {VERSION}", self.path.display()),
                "nothing was changed; use the program that wrote it".into(),
            )),
            (0, 0, 0) => Ok(State::Blank),
            _ => Err(not_ours(&self.path, "it is another program's database")),
        }
    }

    /// Brings a file of the version before to this one: its table of stocks takes paper. References to it are by its
    /// name, and are not looked at while it is away (as SQLite's manual says of changes that `ALTER TABLE` cannot make).
    fn renew(&mut self) -> Result<(), Failure> {
        let keys = |store: &Self, on: &str| {
            store.connection.execute_batch(&format!("PRAGMA foreign_keys = {on};")).map_err(|e| store.failure(&e))
        };
        keys(self, "OFF")?;
        let done = self.write(|of| {
            // Another run may have done it meanwhile.
            let version = of.pragma_query_value(None, "user_version", |row| row.get::<_, i32>(0))?;
            if version == BEFORE {
                of.execute_batch(&format!(
                    "{} INSERT INTO renewed SELECT id, name, kind, thickness, grain, coating, grammage FROM stock; \
                     DROP TABLE stock; ALTER TABLE renewed RENAME TO stock; PRAGMA user_version = {VERSION};",
                    stock_table("renewed")
                ))?;
            }
            Ok(Ok(()))
        });
        keys(self, "ON")?;
        done
    }

    fn connect(path: &Path, flags: OpenFlags) -> Result<Self, Failure> {
        let flags = flags | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let connection = Connection::open_with_flags(path, flags).map_err(|e| failure(path, &e))?;
        let store = Self { path: path.to_owned(), connection };
        let set = store.connection.busy_timeout(PATIENCE).and_then(|()| {
            // One file when nobody has it open: the journal goes with the transaction.
            store.connection.execute_batch("PRAGMA foreign_keys = ON; PRAGMA synchronous = FULL;")
        });
        set.map_err(|e| store.failure(&e))?;
        Ok(store)
    }

    /// Reads.
    pub(super) fn read<T>(&self, read: impl FnOnce(&Connection) -> rusqlite::Result<T>) -> Result<T, Failure> {
        // One look at all of it, so that no other run writes between two questions.
        let look = self.connection.unchecked_transaction().map_err(|e| self.failure(&e))?;
        read(&look).map_err(|e| self.failure(&e))
    }

    /// Writes all or nothing. `write` may find a reason of its own not to.
    pub(super) fn write<T>(
        &mut self,
        write: impl FnOnce(&Transaction<'_>) -> rusqlite::Result<Result<T, Failure>>,
    ) -> Result<T, Failure> {
        let path = self.path.clone();
        let failed = |e: rusqlite::Error| failure(&path, &e);
        let of = self.connection.transaction_with_behavior(TransactionBehavior::Immediate).map_err(failed)?;
        // What is not committed is rolled back.
        let done = write(&of).map_err(failed)??;
        of.commit().map_err(failed)?;
        Ok(done)
    }

    fn failure(&self, e: &rusqlite::Error) -> Failure {
        failure(&self.path, e)
    }
}

fn not_ours(path: &Path, why: &str) -> Failure {
    let message = format!("{} is left as it is: {why}, and no shop of this program", path.display());
    Failure::usage(message, "name another file; a new one is made with its first stock".into())
}

fn failure(path: &Path, e: &rusqlite::Error) -> Failure {
    let path = path.display();
    let nothing = "nothing was changed";
    match e.sqlite_error_code() {
        Some(ErrorCode::NotADatabase) => not_ours(Path::new(&path.to_string()), "it is no database"),
        Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Failure::usage(
            format!("another run has had the shop {path} for {} seconds", PATIENCE.as_secs()),
            format!("{nothing}; try again when it has ended"),
        ),
        Some(ErrorCode::DiskFull) => Failure::usage(
            format!("there is no room left for the shop {path}"),
            format!("{nothing}; make some room, and run the same command again"),
        ),
        Some(ErrorCode::ReadOnly | ErrorCode::CannotOpen | ErrorCode::PermissionDenied) => Failure::usage(
            format!("the shop {path} cannot be opened for writing, or its folder cannot: {e}"),
            format!("{nothing}; it must lie where you may write, for it is locked and guarded while it is read, too"),
        ),
        Some(ErrorCode::DatabaseCorrupt) => {
            Failure::usage(format!("the shop {path} is damaged: {e}"), format!("{nothing}; put back a copy of it"))
        }
        _ => Failure::usage(
            format!("the shop {path} could not be read or written: {e}"),
            format!("{nothing}; is there room on the disk, and may you write there?"),
        ),
    }
}

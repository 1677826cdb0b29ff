-- The catalogue: which version of each month is current, and what it was made from.
-- Dates are ISO 8601 text. A later edition of this file raises user_version and says how to get there.
BEGIN;

-- The fingerprint of the only key whose pseudonyms this store may hold.
CREATE TABLE store_key (
    only_one    INTEGER PRIMARY KEY CHECK (only_one = 1),
    fingerprint TEXT NOT NULL
);

-- A version is in flight until the run that writes it is through: what a killed run leaves behind is known by that.
CREATE TABLE version (
    month      TEXT NOT NULL CHECK (month = 'undated' OR month GLOB '[0-9][0-9][0-9][0-9]-[0-1][0-9]'),
    number     INTEGER NOT NULL CHECK (number >= 1),
    state      TEXT NOT NULL CHECK (state IN ('in_flight', 'stored')),
    audited_on TEXT NOT NULL,
    PRIMARY KEY (month, number)
) WITHOUT ROWID;

CREATE TABLE version_table (
    month  TEXT NOT NULL,
    number INTEGER NOT NULL,
    name   TEXT NOT NULL,
    sha256 TEXT NOT NULL,
    size   INTEGER NOT NULL,
    PRIMARY KEY (month, number, name),
    FOREIGN KEY (month, number) REFERENCES version ON DELETE CASCADE
) WITHOUT ROWID;

CREATE TABLE version_source (
    month   TEXT NOT NULL,
    number  INTEGER NOT NULL,
    ordinal INTEGER NOT NULL,
    sha256  TEXT NOT NULL,
    reports INTEGER NOT NULL,
    PRIMARY KEY (month, number, ordinal),
    FOREIGN KEY (month, number) REFERENCES version ON DELETE CASCADE
) WITHOUT ROWID;

CREATE TABLE current (
    month  TEXT PRIMARY KEY,
    number INTEGER NOT NULL,
    FOREIGN KEY (month, number) REFERENCES version
) WITHOUT ROWID;

-- What the latest run of each identity (a SHA-256) left: the months it brought, and the version each had afterwards.
CREATE TABLE run_month (
    identity TEXT NOT NULL,
    month    TEXT NOT NULL,
    number   INTEGER NOT NULL,
    PRIMARY KEY (identity, month),
    FOREIGN KEY (month, number) REFERENCES version ON DELETE CASCADE
) WITHOUT ROWID;

PRAGMA user_version = 1;
COMMIT;

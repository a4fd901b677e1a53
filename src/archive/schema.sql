-- A cache of the journals beside it. Texts that recur are kept once, in word and key.
CREATE TABLE word (id INTEGER PRIMARY KEY, text TEXT NOT NULL UNIQUE);
CREATE TABLE key (id INTEGER PRIMARY KEY, text TEXT NOT NULL UNIQUE);

CREATE TABLE record (
    id INTEGER PRIMARY KEY,
    file TEXT NOT NULL UNIQUE,
    -- What the file was when it was read: a difference in any of them has it read again.
    bytes INTEGER NOT NULL,
    modified INTEGER NOT NULL,
    changed INTEGER NOT NULL,
    -- Hash of the last whole line, and how many there are; none of a damaged record.
    head TEXT,
    entries INTEGER NOT NULL,
    damage TEXT,
    -- Whether bytes follow the last whole line; what the register finds wrong with it; whether the register knows its end,
    -- behind which no line may follow; whether somebody took it over as it was.
    torn INTEGER NOT NULL DEFAULT 0,
    fault TEXT,
    settled INTEGER NOT NULL DEFAULT 1,
    adopted INTEGER NOT NULL DEFAULT 0,
    run TEXT,
    mode INTEGER,
    -- Milliseconds since 1970, the same as it was written, and the day on the wall there (days of the common era).
    opened INTEGER,
    opened_at TEXT,
    day INTEGER,
    operator TEXT,
    title TEXT,
    procedure TEXT,
    revision TEXT,
    equipment TEXT,
    serial TEXT,
    -- None while the run is not closed.
    outcome INTEGER,
    safe INTEGER,
    -- Whether it was declared void; none of a damaged record.
    void INTEGER,
    -- How often a line was corrected or completed afterwards; none of a damaged record.
    amendments INTEGER,
    -- The day of the last entry, and how many readings were taken without a meter being named.
    last_day INTEGER,
    unnamed INTEGER
);

-- What is asked with every answer is true of few records, or names one.
CREATE INDEX record_damaged ON record (file) WHERE damage IS NOT NULL;
CREATE INDEX record_faulty ON record (file) WHERE fault IS NOT NULL;
CREATE INDEX record_unsettled ON record (file) WHERE settled = 0;
CREATE INDEX record_adopted ON record (file) WHERE adopted = 1;
CREATE INDEX record_unreal ON record (file) WHERE mode > 0;
CREATE INDEX record_by_serial ON record (serial);
CREATE INDEX record_by_day ON record (day);
CREATE INDEX record_by_last_day ON record (last_day);
-- With everything that a trend asks of a record: those of one model lie far apart, each in a page of its own.
CREATE INDEX record_by_equipment ON record
    (equipment, opened, file, mode, void, damage, fault, procedure, outcome, day, serial);

-- Why the register vouches for no record, if it doesn't; and the runs it knows whose records are gone.
CREATE TABLE register_fault (text TEXT NOT NULL);
CREATE TABLE missing (run TEXT PRIMARY KEY) WITHOUT ROWID;

-- One row: what was seen of the folder and of the register before every file was looked at for the last time (ms since
-- 1970), and how many records there were. No folder where it had changed just before.
CREATE TABLE look (
    at INTEGER NOT NULL,
    folder_bytes INTEGER,
    folder_modified INTEGER,
    folder_changed INTEGER,
    register_bytes INTEGER,
    register_modified INTEGER,
    register_changed INTEGER,
    records INTEGER NOT NULL
);

CREATE TABLE person (
    record INTEGER NOT NULL,
    word INTEGER NOT NULL,
    PRIMARY KEY (record, word)
) WITHOUT ROWID;

CREATE INDEX person_by_word ON person (word);

CREATE TABLE used (
    record INTEGER NOT NULL,
    instrument INTEGER NOT NULL,
    PRIMARY KEY (record, instrument)
) WITHOUT ROWID;

CREATE INDEX used_by_instrument ON used (instrument);

-- In the order of a trend: all readings of one key lie together.
CREATE TABLE reading (
    key INTEGER NOT NULL,
    record INTEGER NOT NULL,
    n INTEGER NOT NULL,
    at INTEGER NOT NULL,
    day INTEGER NOT NULL,
    -- In base units; infinite when over range, none when the meter had no number.
    value REAL,
    unit INTEGER NOT NULL,
    low REAL,
    high REAL,
    expected REAL,
    open_ok INTEGER NOT NULL,
    verdict INTEGER NOT NULL,
    origin INTEGER NOT NULL,
    meter INTEGER,
    what INTEGER NOT NULL,
    by INTEGER NOT NULL,
    PRIMARY KEY (key, record, n)
) WITHOUT ROWID;

CREATE INDEX reading_by_meter ON reading (meter, day) WHERE meter IS NOT NULL;

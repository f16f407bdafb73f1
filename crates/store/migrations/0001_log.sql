-- The event log. One text for SQLite and PostgreSQL: BIGINT and TEXT, and BYTEA for what is packed, which SQLite takes as
-- it comes.
-- player_id leads every key, so that PostgreSQL can be partitioned by it.

-- The people who have, or had, a record.
CREATE TABLE player (
    player_id BIGINT NOT NULL PRIMARY KEY,
    uuid TEXT NOT NULL,
    -- The place of the player's latest event, in order of arrival; taking one locks this row.
    head BIGINT NOT NULL DEFAULT 0,
    -- How often an event gave way to another one of its identifier: who has read the one has to read anew.
    replaced BIGINT NOT NULL DEFAULT 0,
    -- No snapshot is kept of a later clock than this.
    kept_ms BIGINT NOT NULL DEFAULT -1,
    -- The event that erased the record; nothing while there is one.
    tombstone TEXT
);

-- Both columns, so that a rescue can read the number here where the table's page is damaged.
CREATE UNIQUE INDEX player_uuid ON player (uuid, player_id);

-- Identifiers that recur in a player's events: devices, authors, sets. They go with the record.
CREATE TABLE name (
    player_id BIGINT NOT NULL REFERENCES player (player_id),
    uuid TEXT NOT NULL,
    number BIGINT NOT NULL,
    PRIMARY KEY (player_id, uuid)
);

-- All columns, for the same reason.
CREATE UNIQUE INDEX name_number ON name (player_id, number, uuid);

-- What was noted. Of a known kind: its fields, with numbers of `name` for identifiers that recur, and what is left of its
-- body. Of a newer kind: its line as it came, byte for byte, and only so much beside it as is searched for.
CREATE TABLE event (
    player_id BIGINT NOT NULL REFERENCES player (player_id),
    place BIGINT NOT NULL,
    -- The identifier's upper and lower 64 bits, each less 2^63, so that their order is that of the identifiers.
    id_high BIGINT NOT NULL,
    id_low BIGINT NOT NULL,
    device BIGINT NOT NULL,
    author BIGINT NOT NULL,
    sequence BIGINT NOT NULL,
    clock_ms BIGINT NOT NULL,
    clock_count BIGINT NOT NULL,
    wall_ms BIGINT NOT NULL,
    wall_offset_min BIGINT NOT NULL,
    kind TEXT NOT NULL,
    set_number BIGINT,
    body TEXT,
    line TEXT,
    PRIMARY KEY (player_id, place)
);

CREATE UNIQUE INDEX event_id ON event (player_id, id_high, id_low);
CREATE INDEX event_clock ON event (player_id, clock_ms, clock_count);

-- What the events before a position in the order have led to, packed, for the program alone that wrote it. Any may be
-- missing; one before whose position an event arrives is deleted with that arrival.
CREATE TABLE snapshot (
    player_id BIGINT NOT NULL REFERENCES player (player_id),
    clock_ms BIGINT NOT NULL,
    clock_count BIGINT NOT NULL,
    events BIGINT NOT NULL,
    body BYTEA NOT NULL,
    PRIMARY KEY (player_id, clock_ms, clock_count)
);

-- Results of long computations, by a key that says all they depend on. No part of anybody's record.
CREATE TABLE computed (
    key TEXT NOT NULL PRIMARY KEY,
    body TEXT NOT NULL
);

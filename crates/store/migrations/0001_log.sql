-- The event log. One text for SQLite and PostgreSQL: BIGINT and TEXT only.
-- player_id leads every key, so that PostgreSQL can be partitioned by it.

-- The people who have, or had, a record.
CREATE TABLE player (
    player_id BIGINT NOT NULL PRIMARY KEY,
    uuid TEXT NOT NULL UNIQUE,
    -- The place of the player's latest event, in order of arrival; taking one locks this row.
    head BIGINT NOT NULL DEFAULT 0,
    -- The event that erased the record; nothing while there is one.
    tombstone TEXT
);

-- The devices that wrote in a player's record. They go with it.
CREATE TABLE device (
    player_id BIGINT NOT NULL REFERENCES player (player_id),
    device_id BIGINT NOT NULL,
    uuid TEXT NOT NULL,
    PRIMARY KEY (player_id, device_id),
    UNIQUE (player_id, uuid)
);

-- What was noted. `line` is the event as it came, byte for byte; the other columns repeat what is searched for.
CREATE TABLE event (
    player_id BIGINT NOT NULL REFERENCES player (player_id),
    place BIGINT NOT NULL,
    uuid TEXT NOT NULL,
    device_id BIGINT NOT NULL,
    sequence BIGINT NOT NULL,
    clock_ms BIGINT NOT NULL,
    clock_count BIGINT NOT NULL,
    line TEXT NOT NULL,
    PRIMARY KEY (player_id, place),
    UNIQUE (player_id, uuid)
);

CREATE INDEX event_device ON event (player_id, device_id, sequence);

-- +goose Up

-- A batch and its events. A batch is never changed but for the count of its
-- events; an event is never changed or deleted. Times are Unix milliseconds. A
-- seal is the SHA-256 of the rest of its row.
CREATE TABLE batch (
    id      TEXT PRIMARY KEY,
    code    TEXT NOT NULL UNIQUE,     -- what is said and written on the bars
    number  BIGINT NOT NULL UNIQUE,   -- from 0, what the code is made of
    name    TEXT NOT NULL,
    recipe  TEXT NOT NULL,            -- id of the recipe it was made from, '' when none is kept
    start   TEXT NOT NULL,            -- all it was planned with, JSON
    made_at BIGINT NOT NULL,
    made_by TEXT NOT NULL,
    events  BIGINT NOT NULL,          -- how many there are: a missing one is found out
    seal    TEXT NOT NULL             -- of all but events
);

CREATE TABLE event (
    batch      TEXT NOT NULL REFERENCES batch (id),
    arrival    BIGINT NOT NULL,       -- from 1, in the order they came in
    id         TEXT NOT NULL,         -- made on the device
    device     TEXT NOT NULL,
    seq        BIGINT NOT NULL,       -- the device's own count
    body       TEXT NOT NULL,         -- the event, JSON
    arrived_at BIGINT NOT NULL,
    seal       TEXT NOT NULL,
    PRIMARY KEY (batch, arrival),
    UNIQUE (batch, id),
    UNIQUE (batch, device, seq)
);

-- +goose Down
DROP TABLE event;
DROP TABLE batch;

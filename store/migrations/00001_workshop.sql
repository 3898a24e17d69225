-- +goose Up

-- A recipe and its versions. A version is never changed or deleted; a recipe
-- is put away by archiving it. Times are Unix milliseconds. A seal is the
-- SHA-256 of the rest of its row: a disk that changes a figure is found out.
CREATE TABLE recipe (
    id         TEXT PRIMARY KEY,
    name       TEXT NOT NULL,             -- of its newest version
    words      TEXT NOT NULL,             -- name, tags and materials in small letters, for searching
    tags       TEXT NOT NULL,             -- in alphabetical order, each between spaces
    head       TEXT NOT NULL,             -- id of the newest version
    versions   BIGINT NOT NULL,
    archived   BIGINT NOT NULL DEFAULT 0, -- when it was put away, 0 while it is in use
    changed_at BIGINT NOT NULL
);
CREATE INDEX recipe_changed ON recipe (archived, changed_at);

CREATE TABLE version (
    id      TEXT PRIMARY KEY,
    recipe  TEXT NOT NULL REFERENCES recipe (id),
    number  BIGINT NOT NULL,
    parent  TEXT NOT NULL,                -- id of the version it was made from, '' for the first
    reason  TEXT NOT NULL,
    body    TEXT NOT NULL,                -- the recipe file
    made_at BIGINT NOT NULL,
    made_by TEXT NOT NULL,
    seal    TEXT NOT NULL,
    UNIQUE (recipe, number)
);

-- Everything else of the workshop: moulds, places, scales, materials, lots,
-- the workshop itself. Every change is a new row, so nothing is overwritten;
-- the newest revision counts.
CREATE TABLE thing (
    kind    TEXT NOT NULL,
    id      TEXT NOT NULL,
    rev     BIGINT NOT NULL,
    newest  BIGINT NOT NULL,              -- 1 for the newest revision, else 0
    body    TEXT NOT NULL,                -- TOML
    gone    BIGINT NOT NULL,              -- 1 when this revision puts it away
    made_at BIGINT NOT NULL,
    made_by TEXT NOT NULL,
    seal    TEXT NOT NULL,                -- of all but newest
    PRIMARY KEY (kind, id, rev)
);
CREATE INDEX thing_newest ON thing (kind, newest);

-- Devices that may use the app over the local network.
CREATE TABLE device (
    token_hash TEXT PRIMARY KEY,
    name       TEXT NOT NULL,
    paired_at  BIGINT NOT NULL,
    seen_at    BIGINT NOT NULL
);

-- +goose Down
DROP TABLE device;
DROP TABLE thing;
DROP TABLE version;
DROP TABLE recipe;

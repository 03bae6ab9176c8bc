-- A photo of a patch at a visit, to be looked at. The picture is drawn anew from
-- what was sent, so that no position or time that a camera wrote stays.
CREATE TABLE photo (
    vehicle_id  uuid        NOT NULL,
    photo_id    uuid        NOT NULL,
    patch_id    uuid        NOT NULL,
    taken_on    date        NOT NULL,
    stage       text        NOT NULL,
    account_id  uuid, -- who took it
    sent_sha256 bytea       NOT NULL, -- of what was sent
    sha256      bytea       NOT NULL, -- of large_jpeg as it was kept
    width_px    smallint    NOT NULL,
    height_px   smallint    NOT NULL,
    large_jpeg  bytea       NOT NULL,
    small_jpeg  bytea       NOT NULL,
    -- A photo that shows what it mustn't is emptied; its row stays, so that a
    -- phone that sends it once more doesn't bring it back.
    removed_at  timestamptz,
    removed_by  uuid,
    removed_why text        NOT NULL DEFAULT '',
    recorded_at timestamptz NOT NULL DEFAULT now(),

    CONSTRAINT photo_key        PRIMARY KEY (vehicle_id, photo_id),
    CONSTRAINT photo_patch      FOREIGN KEY (vehicle_id, patch_id) REFERENCES patch,
    CONSTRAINT photo_account    FOREIGN KEY (account_id) REFERENCES account,
    CONSTRAINT photo_removed_by FOREIGN KEY (removed_by) REFERENCES account,
    CONSTRAINT photo_taken_on   CHECK (taken_on BETWEEN '0001-01-01' AND '9999-12-31'),
    CONSTRAINT photo_stage      CHECK (stage IN ('arrival', 'washed', 'decon')),
    CONSTRAINT photo_hash       CHECK (octet_length(sent_sha256) = 32 AND octet_length(sha256) = 32),
    CONSTRAINT photo_size       CHECK (width_px BETWEEN 1 AND 1600 AND height_px BETWEEN 1 AND 1600),
    CONSTRAINT photo_large      CHECK (octet_length(large_jpeg) <= 1000000 AND (octet_length(large_jpeg) > 0) = (removed_at IS NULL)),
    CONSTRAINT photo_small      CHECK (octet_length(small_jpeg) <= 100000 AND (octet_length(small_jpeg) > 0) = (removed_at IS NULL)),
    CONSTRAINT photo_removed    CHECK ((removed_at IS NULL) = (removed_by IS NULL) AND (removed_at IS NULL) = (removed_why = ''))
);

-- Pictures are compressed already: trying again costs time and gains nothing.
ALTER TABLE photo
    ALTER COLUMN large_jpeg SET STORAGE EXTERNAL,
    ALTER COLUMN small_jpeg SET STORAGE EXTERNAL;

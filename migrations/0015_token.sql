-- What a program shows to act as an account: kept as a hash.
CREATE TABLE api_token (
    token_sha256 bytea       NOT NULL,
    account_id   uuid        NOT NULL,
    label        text        NOT NULL,
    expires_at   timestamptz NOT NULL,
    revoked_at   timestamptz,
    used_at      timestamptz,
    recorded_at  timestamptz NOT NULL DEFAULT now(),

    CONSTRAINT api_token_key          PRIMARY KEY (token_sha256),
    CONSTRAINT api_token_account      FOREIGN KEY (account_id) REFERENCES account,
    CONSTRAINT api_token_token_sha256 CHECK (octet_length(token_sha256) = 32)
);

CREATE INDEX api_token_account_id ON api_token (account_id);

-- A link by which whoever has it reads one vehicle's letter, and nothing else.
-- It names the vehicle without a foreign key, being kept whole where vehicles
-- are spread.
CREATE TABLE share_link (
    link_sha256 bytea       NOT NULL,
    study_id    uuid        NOT NULL,
    vehicle_id  uuid        NOT NULL,
    made_by     uuid        NOT NULL,
    expires_at  timestamptz NOT NULL,
    revoked_at  timestamptz,
    recorded_at timestamptz NOT NULL DEFAULT now(),

    CONSTRAINT share_link_key         PRIMARY KEY (link_sha256),
    CONSTRAINT share_link_study       FOREIGN KEY (study_id) REFERENCES study,
    CONSTRAINT share_link_made_by     FOREIGN KEY (made_by) REFERENCES account,
    CONSTRAINT share_link_link_sha256 CHECK (octet_length(link_sha256) = 32)
);

CREATE INDEX share_link_vehicle ON share_link (vehicle_id);

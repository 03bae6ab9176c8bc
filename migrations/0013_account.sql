-- Who may sign in to the web application. A person of the study's records is
-- somebody else: an operator without an account has readings all the same.
CREATE TABLE account (
    account_id    uuid             NOT NULL,
    name          text COLLATE "C" NOT NULL, -- to sign in by: lower case, no spaces
    password_hash text             NOT NULL, -- argon2id in PHC form; empty: none was chosen yet
    steward       boolean          NOT NULL, -- owns every study, those to come too
    disabled      boolean          NOT NULL DEFAULT false,
    -- A session is of the count at its start; a new password, and disabling,
    -- raise it, which ends all sessions before.
    sessions_from integer          NOT NULL DEFAULT 0,
    operator_id   uuid,                      -- whose readings the account logs
    recorded_at   timestamptz      NOT NULL DEFAULT now(),

    CONSTRAINT account_key           PRIMARY KEY (account_id),
    CONSTRAINT account_name_key      UNIQUE (name),
    CONSTRAINT account_name          CHECK (name ~ '^[^\s\x01-\x1f]{1,100}$'),
    CONSTRAINT account_password_hash CHECK (password_hash = '' OR password_hash ~ '^\$argon2id\$'),
    CONSTRAINT account_operator      FOREIGN KEY (operator_id) REFERENCES person
);

-- A link, good once, by which an account chooses its password. The database
-- keeps only the hash of what the link says.
CREATE TABLE invitation (
    link_sha256 bytea       NOT NULL,
    account_id  uuid        NOT NULL,
    expires_at  timestamptz NOT NULL,
    recorded_at timestamptz NOT NULL DEFAULT now(),

    CONSTRAINT invitation_key         PRIMARY KEY (link_sha256),
    CONSTRAINT invitation_account_key UNIQUE (account_id), -- a newer link replaces an older one
    CONSTRAINT invitation_account     FOREIGN KEY (account_id) REFERENCES account,
    CONSTRAINT invitation_link_sha256 CHECK (octet_length(link_sha256) = 32)
);

-- A browser that is signed in. The cookie's value is kept as a hash.
CREATE TABLE session (
    token       text        NOT NULL,
    data        bytea       NOT NULL,
    expires_at  timestamptz NOT NULL,
    recorded_at timestamptz NOT NULL DEFAULT now(),

    CONSTRAINT session_key PRIMARY KEY (token)
);

CREATE INDEX session_expires_at ON session (expires_at);

-- A key pair that a phone or desk keeps in place of a password.
CREATE TABLE passkey (
    credential  bytea       NOT NULL,
    account_id  uuid        NOT NULL,
    label       text        NOT NULL,
    record      jsonb       NOT NULL, -- public key, counter and flags, as the protocol names them
    used_at     timestamptz,
    recorded_at timestamptz NOT NULL DEFAULT now(),

    CONSTRAINT passkey_key     PRIMARY KEY (credential),
    CONSTRAINT passkey_account FOREIGN KEY (account_id) REFERENCES account,
    CONSTRAINT passkey_record  CHECK (jsonb_typeof(record) = 'object')
);

CREATE INDEX passkey_account_id ON passkey (account_id);

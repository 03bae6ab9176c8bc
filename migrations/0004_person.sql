-- Known by initials or a staff code; no name is needed.
CREATE TABLE person (
    person_id   uuid             NOT NULL,
    code        text COLLATE "C" NOT NULL,
    recorded_at timestamptz      NOT NULL DEFAULT now(),

    CONSTRAINT person_key      PRIMARY KEY (person_id),
    CONSTRAINT person_code_key UNIQUE (code),
    CONSTRAINT person_code     CHECK (code ~ '^[0-9A-Za-z\u0080-\U0010FFFF][0-9A-Za-z._/\-\u0080-\U0010FFFF]{0,39}$')
);

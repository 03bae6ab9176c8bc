-- A code is checked alike everywhere: 1 to 40 characters, in the ASCII range
-- only letters, digits and . _ / -, the first one a letter or digit. Beyond
-- ASCII the program checks that it is a letter or digit; the database can't
-- without depending on the server's locale. Codes sort by code point, so that
-- the order of a fleet doesn't depend on the locale either.
CREATE TABLE study (
    study_id    uuid             NOT NULL,
    code        text COLLATE "C" NOT NULL,
    question    text             NOT NULL,
    metric      text             NOT NULL,
    threshold   double precision NOT NULL, -- in the metric's unit
    confirm     smallint         NOT NULL, -- conclusive fails in a row
    estimand    text             NOT NULL,
    recorded_at timestamptz      NOT NULL DEFAULT now(),

    CONSTRAINT study_key       PRIMARY KEY (study_id),
    CONSTRAINT study_code_key  UNIQUE (code),
    CONSTRAINT study_code      CHECK (code ~ '^[0-9A-Za-z\u0080-\U0010FFFF][0-9A-Za-z._/\-\u0080-\U0010FFFF]{0,39}$'),
    CONSTRAINT study_metric    CHECK (metric IN ('angle', 'sheet_time', 'wet_share', 'bead_grade')),
    -- NaN sorts above every number in Postgres, so that BETWEEN refuses it
    -- here and in all tables below.
    CONSTRAINT study_threshold CHECK (
        CASE metric
            WHEN 'angle'      THEN threshold BETWEEN 0 AND 180
            WHEN 'sheet_time' THEN threshold BETWEEN 0 AND 3600
            WHEN 'wet_share'  THEN threshold BETWEEN 0 AND 100
            WHEN 'bead_grade' THEN threshold BETWEEN 1 AND 5
        END
    ),
    CONSTRAINT study_confirm   CHECK (confirm BETWEEN 1 AND 3),
    CONSTRAINT study_estimand  CHECK (estimand IN ('to_topper', 'as_maintained'))
);

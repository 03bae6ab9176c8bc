CREATE TABLE coating (
    coating_id        uuid             NOT NULL,
    code              text COLLATE "C" NOT NULL,
    name              text             NOT NULL,
    control           boolean          NOT NULL, -- the bare, uncoated reference
    claim_low_months  double precision,
    claim_high_months double precision,
    note              text             NOT NULL,
    recorded_at       timestamptz      NOT NULL DEFAULT now(),

    CONSTRAINT coating_key               PRIMARY KEY (coating_id),
    CONSTRAINT coating_code_key          UNIQUE (code),
    CONSTRAINT coating_code              CHECK (code ~ '^[0-9A-Za-z\u0080-\U0010FFFF][0-9A-Za-z._/\-\u0080-\U0010FFFF]{0,39}$'),
    CONSTRAINT coating_claim_low_months  CHECK (claim_low_months BETWEEN 0 AND 240),
    CONSTRAINT coating_claim_high_months CHECK (claim_high_months BETWEEN 0 AND 240),
    CONSTRAINT coating_claim_order       CHECK (claim_low_months <= claim_high_months)
);

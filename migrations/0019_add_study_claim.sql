-- When a maker's claim, "lasts 12 to 24 months", counts as supported: how many
-- of a coating's patches must outlast the lower end of the claimed months and
-- how many the higher, and the confidence of the limits by which that is
-- judged. The defaults are those that the program gives a new study, and are
-- here for studies made before there was a rule.
ALTER TABLE study
    ADD COLUMN claim_low_pct        double precision NOT NULL DEFAULT 80,
    ADD COLUMN claim_high_pct       double precision NOT NULL DEFAULT 10,
    ADD COLUMN claim_confidence_pct double precision NOT NULL DEFAULT 95, -- of two-sided limits

    ADD CONSTRAINT study_claim_low_pct        CHECK (claim_low_pct BETWEEN 1 AND 99),
    ADD CONSTRAINT study_claim_high_pct       CHECK (claim_high_pct BETWEEN 1 AND 99),
    ADD CONSTRAINT study_claim_order          CHECK (claim_high_pct <= claim_low_pct),
    ADD CONSTRAINT study_claim_confidence_pct CHECK (claim_confidence_pct BETWEEN 80 AND 99);

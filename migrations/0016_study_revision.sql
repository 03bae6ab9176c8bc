-- Counts the changes of a study's records, so that whoever keeps something
-- computed from them can tell whether it still holds.
ALTER TABLE study
    ADD COLUMN revision bigint NOT NULL DEFAULT 0;

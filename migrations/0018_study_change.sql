-- What was changed of a study's own rules: its question, protocol and care
-- plan. Nothing of the records changes with them, but what they are taken to
-- mean does.
CREATE TABLE study_change (
    study_id    uuid        NOT NULL,
    change_id   uuid        NOT NULL,
    account_id  uuid        NOT NULL, -- who changed it
    why         text        NOT NULL,
    changes     jsonb       NOT NULL, -- an array of field, before and after
    recorded_at timestamptz NOT NULL DEFAULT now(),

    CONSTRAINT study_change_key     PRIMARY KEY (study_id, change_id),
    CONSTRAINT study_change_study   FOREIGN KEY (study_id) REFERENCES study,
    CONSTRAINT study_change_account FOREIGN KEY (account_id) REFERENCES account,
    CONSTRAINT study_change_why     CHECK (why <> '')
);

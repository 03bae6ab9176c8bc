-- A token is for one study, and may do no more there than its role, whatever
-- more its account may do. In lists tokens and links are known by an id, which
-- tells nothing of the secret. No version of the program could make either
-- before this step, so that no row lacks the new columns.
ALTER TABLE api_token
    ADD COLUMN token_id uuid NOT NULL,
    ADD COLUMN study_id uuid NOT NULL,
    ADD COLUMN role     text NOT NULL,
    ADD CONSTRAINT api_token_id_key UNIQUE (token_id),
    ADD CONSTRAINT api_token_study  FOREIGN KEY (study_id) REFERENCES study,
    ADD CONSTRAINT api_token_role   CHECK (role IN ('owner', 'operator', 'reader')),
    ADD CONSTRAINT api_token_label  CHECK (label ~ '^[^\x01-\x1f]{1,100}$');

ALTER TABLE share_link
    ADD COLUMN link_id uuid NOT NULL,
    ADD CONSTRAINT share_link_id_key UNIQUE (link_id);

ALTER TABLE passkey
    ADD CONSTRAINT passkey_label CHECK (label ~ '^[^\x01-\x1f]{1,100}$');

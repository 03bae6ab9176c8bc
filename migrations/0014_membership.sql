-- What an account may do in a study: an owner everything, an operator look and
-- log, a reader look.
CREATE TABLE membership (
    account_id  uuid        NOT NULL,
    study_id    uuid        NOT NULL,
    role        text        NOT NULL,
    every_shop  boolean     NOT NULL, -- else those in membership_shop
    recorded_at timestamptz NOT NULL DEFAULT now(),

    CONSTRAINT membership_key     PRIMARY KEY (account_id, study_id),
    CONSTRAINT membership_account FOREIGN KEY (account_id) REFERENCES account,
    CONSTRAINT membership_study   FOREIGN KEY (study_id) REFERENCES study,
    CONSTRAINT membership_role    CHECK (role IN ('owner', 'operator', 'reader')),
    CONSTRAINT membership_owner   CHECK (every_shop OR role <> 'owner')
);

CREATE INDEX membership_study_id ON membership (study_id);

CREATE TABLE membership_shop (
    account_id  uuid        NOT NULL,
    study_id    uuid        NOT NULL,
    shop_id     uuid        NOT NULL,
    recorded_at timestamptz NOT NULL DEFAULT now(),

    CONSTRAINT membership_shop_key        PRIMARY KEY (account_id, study_id, shop_id),
    CONSTRAINT membership_shop_membership FOREIGN KEY (account_id, study_id) REFERENCES membership ON DELETE CASCADE,
    CONSTRAINT membership_shop_shop       FOREIGN KEY (shop_id) REFERENCES shop
);

-- What stands at the head of letters to the customers of a shop.
CREATE TABLE letterhead (
    study_id    uuid        NOT NULL,
    of_id       uuid        NOT NULL, -- the shop; the study itself for vehicles that name no shop
    name        text        NOT NULL, -- empty for none
    logo_png    bytea,
    recorded_at timestamptz NOT NULL DEFAULT now(),

    CONSTRAINT letterhead_key      PRIMARY KEY (study_id, of_id),
    CONSTRAINT letterhead_study    FOREIGN KEY (study_id) REFERENCES study,
    CONSTRAINT letterhead_name     CHECK (name ~ '^[^\x01-\x1f]{0,100}$'),
    CONSTRAINT letterhead_logo_png CHECK (octet_length(logo_png) BETWEEN 1 AND 1048576)
);

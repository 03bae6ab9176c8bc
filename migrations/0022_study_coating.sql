-- What a study's owners put down for it before any vehicle needs it: coatings
-- to choose from, and shops to come. What its vehicles name belongs to a study
-- without a row here.
CREATE TABLE study_coating (
    study_id    uuid        NOT NULL,
    coating_id  uuid        NOT NULL,
    recorded_at timestamptz NOT NULL DEFAULT now(),

    CONSTRAINT study_coating_key     PRIMARY KEY (study_id, coating_id),
    CONSTRAINT study_coating_study   FOREIGN KEY (study_id) REFERENCES study,
    CONSTRAINT study_coating_coating FOREIGN KEY (coating_id) REFERENCES coating
);

CREATE TABLE study_shop (
    study_id    uuid        NOT NULL,
    shop_id     uuid        NOT NULL,
    recorded_at timestamptz NOT NULL DEFAULT now(),

    CONSTRAINT study_shop_key   PRIMARY KEY (study_id, shop_id),
    CONSTRAINT study_shop_study FOREIGN KEY (study_id) REFERENCES study,
    CONSTRAINT study_shop_shop  FOREIGN KEY (shop_id) REFERENCES shop
);

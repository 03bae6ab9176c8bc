CREATE TABLE patch (
    vehicle_id         uuid             NOT NULL,
    patch_id           uuid             NOT NULL,
    code               text COLLATE "C" NOT NULL,
    coating_id         uuid             NOT NULL,
    panel              text             NOT NULL,
    orientation        text             NOT NULL,
    substrate          text             NOT NULL,
    finish             text             NOT NULL,
    applied_on         date             NOT NULL, -- the last layer was laid
    -- Conditions of the job; NULL where nobody wrote it down.
    layers             smallint,
    layer_interval_h   double precision, -- between layers
    flash_s            double precision, -- from spreading to levelling
    air_temp_c         double precision,
    humidity_pct       double precision, -- relative humidity
    prep_alcohol_pct   double precision, -- isopropyl alcohol in the prep wipe
    keep_dry_h         double precision, -- after the last layer
    days_to_first_wash double precision,
    note               text             NOT NULL,
    recorded_at        timestamptz      NOT NULL DEFAULT now(),

    CONSTRAINT patch_key                PRIMARY KEY (vehicle_id, patch_id),
    CONSTRAINT patch_code_key           UNIQUE (vehicle_id, code),
    CONSTRAINT patch_vehicle            FOREIGN KEY (vehicle_id) REFERENCES vehicle,
    CONSTRAINT patch_coating            FOREIGN KEY (coating_id) REFERENCES coating,
    CONSTRAINT patch_code               CHECK (code ~ '^[0-9A-Za-z\u0080-\U0010FFFF][0-9A-Za-z._/\-\u0080-\U0010FFFF]{0,39}$'),
    CONSTRAINT patch_panel              CHECK (panel <> ''),
    CONSTRAINT patch_orientation        CHECK (orientation IN ('horizontal', 'vertical')),
    CONSTRAINT patch_substrate          CHECK (substrate IN ('paint', 'film', 'wrap')),
    CONSTRAINT patch_finish             CHECK (finish IN ('gloss', 'satin', 'matte')),
    CONSTRAINT patch_applied_on         CHECK (applied_on BETWEEN '0001-01-01' AND '9999-12-31'),
    CONSTRAINT patch_layers             CHECK (layers BETWEEN 1 AND 10),
    CONSTRAINT patch_layer_interval_h   CHECK (layer_interval_h BETWEEN 0 AND 240),
    CONSTRAINT patch_flash_s            CHECK (flash_s BETWEEN 0 AND 3600),
    CONSTRAINT patch_air_temp_c         CHECK (air_temp_c BETWEEN -20 AND 60),
    CONSTRAINT patch_humidity_pct       CHECK (humidity_pct BETWEEN 0 AND 100),
    CONSTRAINT patch_prep_alcohol_pct   CHECK (prep_alcohol_pct BETWEEN 0 AND 100),
    CONSTRAINT patch_keep_dry_h         CHECK (keep_dry_h BETWEEN 0 AND 336),
    CONSTRAINT patch_days_to_first_wash CHECK (days_to_first_wash BETWEEN 0 AND 365)
);

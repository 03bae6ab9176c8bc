-- Which vehicle a study means by a code. It stands apart from vehicle because
-- vehicle_id leads every key of the tables that are spread by vehicle, and
-- "no code twice in a study" is a rule across vehicles. This table is small
-- and kept whole everywhere, like study, coating, site and person.
CREATE TABLE vehicle_code (
    vehicle_id  uuid             NOT NULL,
    study_id    uuid             NOT NULL,
    code        text COLLATE "C" NOT NULL,
    recorded_at timestamptz      NOT NULL DEFAULT now(),

    CONSTRAINT vehicle_code_key      PRIMARY KEY (vehicle_id),
    CONSTRAINT vehicle_code_code_key UNIQUE (study_id, code), -- also finds the fleet of a study
    CONSTRAINT vehicle_code_study    FOREIGN KEY (study_id) REFERENCES study,
    CONSTRAINT vehicle_code_code     CHECK (code ~ '^[0-9A-Za-z\u0080-\U0010FFFF][0-9A-Za-z._/\-\u0080-\U0010FFFF]{0,39}$')
);

CREATE TABLE vehicle (
    vehicle_id  uuid        NOT NULL,
    site_id     uuid        NOT NULL,
    enrolled_on date        NOT NULL,
    garage      text        NOT NULL, -- empty: unknown
    km_per_year double precision,
    note        text        NOT NULL,
    recorded_at timestamptz NOT NULL DEFAULT now(),

    CONSTRAINT vehicle_key          PRIMARY KEY (vehicle_id),
    CONSTRAINT vehicle_vehicle_code FOREIGN KEY (vehicle_id) REFERENCES vehicle_code,
    CONSTRAINT vehicle_site         FOREIGN KEY (site_id) REFERENCES site,
    -- Four-digit years, here and below: it refuses infinity as well.
    CONSTRAINT vehicle_enrolled_on  CHECK (enrolled_on BETWEEN '0001-01-01' AND '9999-12-31'),
    CONSTRAINT vehicle_garage       CHECK (garage IN ('', 'indoors', 'carport', 'outdoors')),
    CONSTRAINT vehicle_km_per_year  CHECK (km_per_year BETWEEN 0 AND 500000)
);

CREATE TABLE site (
    site_id               uuid               NOT NULL,
    code                  text COLLATE "C"   NOT NULL,
    name                  text               NOT NULL,
    latitude_deg          double precision   NOT NULL, -- north is positive
    longitude_deg         double precision   NOT NULL, -- east is positive
    altitude_m            double precision,
    koppen                text               NOT NULL, -- Köppen-Geiger class
    uv_mj_m2_year         double precision,            -- on a horizontal panel
    freeze_thaw_days_year double precision,
    mean_temp_c           double precision[] NOT NULL, -- by month, January first; or empty
    precipitation_mm      double precision[] NOT NULL, -- by month, January first; or empty
    note                  text               NOT NULL,
    recorded_at           timestamptz        NOT NULL DEFAULT now(),

    CONSTRAINT site_key                   PRIMARY KEY (site_id),
    CONSTRAINT site_code_key              UNIQUE (code),
    CONSTRAINT site_code                  CHECK (code ~ '^[0-9A-Za-z\u0080-\U0010FFFF][0-9A-Za-z._/\-\u0080-\U0010FFFF]{0,39}$'),
    CONSTRAINT site_latitude_deg          CHECK (latitude_deg BETWEEN -90 AND 90),
    CONSTRAINT site_longitude_deg         CHECK (longitude_deg BETWEEN -180 AND 180),
    CONSTRAINT site_altitude_m            CHECK (altitude_m BETWEEN -430 AND 6000),
    CONSTRAINT site_koppen                CHECK (koppen IN (
        'Af', 'Am', 'Aw',
        'BWh', 'BWk', 'BSh', 'BSk',
        'Csa', 'Csb', 'Csc', 'Cwa', 'Cwb', 'Cwc', 'Cfa', 'Cfb', 'Cfc',
        'Dsa', 'Dsb', 'Dsc', 'Dsd', 'Dwa', 'Dwb', 'Dwc', 'Dwd', 'Dfa', 'Dfb', 'Dfc', 'Dfd',
        'ET', 'EF'
    )),
    CONSTRAINT site_uv_mj_m2_year         CHECK (uv_mj_m2_year BETWEEN 0 AND 700),
    CONSTRAINT site_freeze_thaw_days_year CHECK (freeze_thaw_days_year BETWEEN 0 AND 366),
    -- A CHECK passes on NULL, so a missing month must be refused by name; and
    -- twelve values in two dimensions are no list.
    CONSTRAINT site_mean_temp_c           CHECK (
        cardinality(mean_temp_c) IN (0, 12)
        AND coalesce(array_ndims(mean_temp_c), 1) = 1
        AND array_position(mean_temp_c, NULL) IS NULL
        AND -70 <= ALL (mean_temp_c) AND 50 >= ALL (mean_temp_c)
    ),
    CONSTRAINT site_precipitation_mm      CHECK (
        cardinality(precipitation_mm) IN (0, 12)
        AND coalesce(array_ndims(precipitation_mm), 1) = 1
        AND array_position(precipitation_mm, NULL) IS NULL
        AND 0 <= ALL (precipitation_mm) AND 5000 >= ALL (precipitation_mm)
    )
);

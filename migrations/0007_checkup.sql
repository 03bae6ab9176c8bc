CREATE TABLE checkup (
    vehicle_id  uuid        NOT NULL,
    checkup_id  uuid        NOT NULL,
    checked_on  date        NOT NULL,
    operator_id uuid,                 -- NULL when nobody wrote it down
    note        text        NOT NULL,
    recorded_at timestamptz NOT NULL DEFAULT now(),

    CONSTRAINT checkup_key        PRIMARY KEY (vehicle_id, checkup_id),
    CONSTRAINT checkup_vehicle    FOREIGN KEY (vehicle_id) REFERENCES vehicle,
    CONSTRAINT checkup_operator   FOREIGN KEY (operator_id) REFERENCES person,
    CONSTRAINT checkup_checked_on CHECK (checked_on BETWEEN '0001-01-01' AND '9999-12-31')
);

-- One checkup a day and operator, the unknown operator being one of them. It
-- is an index because before Postgres 15 a constraint can't count NULLs as
-- equal. It also finds a vehicle's history in order of date.
CREATE UNIQUE INDEX checkup_day_key ON checkup
    (vehicle_id, checked_on, coalesce(operator_id, '00000000-0000-0000-0000-000000000000'));

-- A reading keeps every drop; whoever needs the mean takes it.
CREATE TABLE reading (
    vehicle_id    uuid               NOT NULL,
    checkup_id    uuid               NOT NULL,
    patch_id      uuid               NOT NULL,
    stage         text               NOT NULL,
    angles_deg    double precision[] NOT NULL, -- empty: no drop was measured
    sheet_time_s  double precision,            -- until nine tenths of the panel is clear
    wet_share_pct double precision,            -- of the panel after a minute
    bead_grade    smallint,                    -- 1 closed sheet to 5 round drops
    note          text               NOT NULL,
    recorded_at   timestamptz        NOT NULL DEFAULT now(),

    CONSTRAINT reading_key           PRIMARY KEY (vehicle_id, checkup_id, patch_id, stage),
    CONSTRAINT reading_checkup       FOREIGN KEY (vehicle_id, checkup_id) REFERENCES checkup,
    CONSTRAINT reading_patch         FOREIGN KEY (vehicle_id, patch_id) REFERENCES patch,
    CONSTRAINT reading_stage         CHECK (stage IN ('arrival', 'washed', 'decon')),
    -- A CHECK passes on NULL, so a missing drop must be refused by name.
    CONSTRAINT reading_angles_deg    CHECK (
        cardinality(angles_deg) <= 20
        AND coalesce(array_ndims(angles_deg), 1) = 1
        AND array_position(angles_deg, NULL) IS NULL
        AND 0 <= ALL (angles_deg) AND 180 >= ALL (angles_deg)
    ),
    CONSTRAINT reading_sheet_time_s  CHECK (sheet_time_s BETWEEN 0 AND 3600),
    CONSTRAINT reading_wet_share_pct CHECK (wet_share_pct BETWEEN 0 AND 100),
    CONSTRAINT reading_bead_grade    CHECK (bead_grade BETWEEN 1 AND 5),
    CONSTRAINT reading_measured      CHECK (
        cardinality(angles_deg) > 0 OR num_nonnulls(sheet_time_s, wet_share_pct, bead_grade) > 0
    )
);

-- A correction of one stored record: proposed when a load says otherwise than
-- what is stored, then accepted or declined by a person. An accepted one is
-- the audit trail of the record. Kept whole everywhere, since coatings and
-- sites are amended too; so it has no foreign key to the spread tables.
CREATE TABLE amendment (
    amendment_id uuid        NOT NULL,
    record       text        NOT NULL, -- the table amended
    -- The record's key there; what doesn't belong to it is NULL.
    coating_id   uuid,
    site_id      uuid,
    vehicle_id   uuid,
    patch_id     uuid,
    checkup_id   uuid,
    care_id      uuid,
    stage        text,
    label        text        NOT NULL, -- the record in words, as it was called then
    before       jsonb       NOT NULL, -- the changed columns as stored
    after        jsonb       NOT NULL, -- the same columns as proposed
    state        text        NOT NULL DEFAULT 'proposed',
    decided_by   uuid,
    decided_at   timestamptz,
    decided_why  text        NOT NULL DEFAULT '',
    recorded_at  timestamptz NOT NULL DEFAULT now(),

    CONSTRAINT amendment_key        PRIMARY KEY (amendment_id),
    CONSTRAINT amendment_coating    FOREIGN KEY (coating_id) REFERENCES coating,
    CONSTRAINT amendment_site       FOREIGN KEY (site_id) REFERENCES site,
    CONSTRAINT amendment_decided_by FOREIGN KEY (decided_by) REFERENCES person,
    CONSTRAINT amendment_record     CHECK (
        num_nonnulls(coating_id, site_id, vehicle_id, patch_id, checkup_id, care_id, stage)
        = CASE record
            WHEN 'coating' THEN num_nonnulls(coating_id)
            WHEN 'site'    THEN num_nonnulls(site_id)
            WHEN 'vehicle' THEN num_nonnulls(vehicle_id)
            WHEN 'patch'   THEN num_nonnulls(vehicle_id, patch_id)
            WHEN 'checkup' THEN num_nonnulls(vehicle_id, checkup_id)
            WHEN 'care'    THEN num_nonnulls(vehicle_id, care_id)
            WHEN 'reading' THEN num_nonnulls(vehicle_id, checkup_id, patch_id, stage)
            ELSE -1
        END
        AND num_nonnulls(coating_id, site_id, vehicle_id, patch_id, checkup_id, care_id, stage)
        = CASE record WHEN 'reading' THEN 4 WHEN 'coating' THEN 1 WHEN 'site' THEN 1 WHEN 'vehicle' THEN 1 ELSE 2 END
    ),
    CONSTRAINT amendment_changes    CHECK (jsonb_typeof(before) = 'object' AND jsonb_typeof(after) = 'object'),
    CONSTRAINT amendment_state      CHECK (state IN ('proposed', 'accepted', 'declined')),
    CONSTRAINT amendment_decided    CHECK (
        num_nonnulls(decided_by, decided_at) = CASE state WHEN 'proposed' THEN 0 ELSE 2 END
    ),
    CONSTRAINT amendment_decided_at CHECK (decided_at >= recorded_at)
);

-- Finds what was said of a record before, and the amendments of a study.
CREATE INDEX amendment_vehicle ON amendment (vehicle_id, checkup_id, patch_id, care_id);
CREATE INDEX amendment_shared ON amendment (coating_id, site_id) WHERE vehicle_id IS NULL;

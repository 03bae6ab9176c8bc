CREATE TABLE care (
    vehicle_id  uuid        NOT NULL,
    care_id     uuid        NOT NULL,
    patch_id    uuid,                 -- NULL: the whole vehicle
    done_on     date        NOT NULL,
    kind        text        NOT NULL,
    operator_id uuid,
    note        text        NOT NULL,
    recorded_at timestamptz NOT NULL DEFAULT now(),

    CONSTRAINT care_key      PRIMARY KEY (vehicle_id, care_id),
    CONSTRAINT care_vehicle  FOREIGN KEY (vehicle_id) REFERENCES vehicle,
    CONSTRAINT care_patch    FOREIGN KEY (vehicle_id, patch_id) REFERENCES patch,
    CONSTRAINT care_operator FOREIGN KEY (operator_id) REFERENCES person,
    CONSTRAINT care_done_on  CHECK (done_on BETWEEN '0001-01-01' AND '9999-12-31'),
    CONSTRAINT care_kind     CHECK (kind IN (
        'maintenance_wash', 'decon_wash', 'topper', 'polish', 'clay',
        'polish_through', 'film_replaced', 'repaint', 'recoat', 'sold', 'lost'
    ))
);

-- The same care of the same patch, or of the whole vehicle, once a day.
CREATE UNIQUE INDEX care_day_key ON care
    (vehicle_id, done_on, kind, coalesce(patch_id, '00000000-0000-0000-0000-000000000000'));

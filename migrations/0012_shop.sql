-- A shop is one place of work: a vehicle is coated and seen there. Where a
-- study has one shop only, its vehicles need not say so.
CREATE TABLE shop (
    shop_id     uuid             NOT NULL,
    code        text COLLATE "C" NOT NULL,
    recorded_at timestamptz      NOT NULL DEFAULT now(),

    CONSTRAINT shop_key      PRIMARY KEY (shop_id),
    CONSTRAINT shop_code_key UNIQUE (code),
    CONSTRAINT shop_code     CHECK (code ~ '^[0-9A-Za-z\u0080-\U0010FFFF][0-9A-Za-z._/\-\u0080-\U0010FFFF]{0,39}$')
);

ALTER TABLE vehicle
    ADD COLUMN shop_id uuid, -- NULL: nobody said; only people of all shops see it
    ADD CONSTRAINT vehicle_shop FOREIGN KEY (shop_id) REFERENCES shop;

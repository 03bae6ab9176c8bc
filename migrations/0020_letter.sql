-- A letter that was written to a customer about their vehicle, as it was: records
-- change, and so does what the program makes of them, but what somebody was told
-- stays what they were told. It names nobody: a vehicle is a shop's code.
CREATE TABLE letter (
    vehicle_id  uuid        NOT NULL,
    letter_id   uuid        NOT NULL,
    dated_on    date        NOT NULL,
    language    text        NOT NULL, -- by its tag of BCP 47
    paper       text        NOT NULL,
    version     text        NOT NULL, -- of the program
    pdf         bytea       NOT NULL,
    pdf_sha256  bytea       NOT NULL,
    page_gzip   bytea       NOT NULL, -- the same for a browser
    made_by     uuid        NOT NULL,
    sent_on     date,                 -- NULL: nobody said that it was
    sent_by     uuid,
    sent_how    text,
    recorded_at timestamptz NOT NULL DEFAULT now(),

    CONSTRAINT letter_key        PRIMARY KEY (vehicle_id, letter_id),
    CONSTRAINT letter_pdf_key    UNIQUE (vehicle_id, pdf_sha256), -- the same letter is kept once
    CONSTRAINT letter_vehicle    FOREIGN KEY (vehicle_id) REFERENCES vehicle,
    CONSTRAINT letter_made_by    FOREIGN KEY (made_by) REFERENCES account,
    CONSTRAINT letter_sent_by    FOREIGN KEY (sent_by) REFERENCES account,
    CONSTRAINT letter_language   CHECK (language ~ '^[a-z]{2,3}$'),
    CONSTRAINT letter_paper      CHECK (paper IN ('a4', 'letter')),
    CONSTRAINT letter_pdf        CHECK (octet_length(pdf) BETWEEN 1 AND 4194304),
    CONSTRAINT letter_pdf_sha256 CHECK (octet_length(pdf_sha256) = 32),
    CONSTRAINT letter_page_gzip  CHECK (octet_length(page_gzip) BETWEEN 1 AND 4194304),
    CONSTRAINT letter_sent_how   CHECK (sent_how IN ('printed', 'link', 'file')),
    CONSTRAINT letter_sent       CHECK (num_nulls(sent_on, sent_by, sent_how) IN (0, 3))
);

-- PDFs and gzip are packed already.
ALTER TABLE letter
    ALTER COLUMN pdf SET STORAGE EXTERNAL,
    ALTER COLUMN page_gzip SET STORAGE EXTERNAL;

-- A link leads to one letter. Those from before letters were kept led to a page
-- of the day on which it was looked at, which there is no longer.
ALTER TABLE share_link
    ADD COLUMN letter_id uuid; -- without a foreign key, as vehicle_id

UPDATE share_link
SET revoked_at = now()
WHERE revoked_at IS NULL;

ALTER TABLE share_link
    ADD CONSTRAINT share_link_letter CHECK (letter_id IS NOT NULL OR revoked_at IS NOT NULL);

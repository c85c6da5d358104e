-- What the desk has to know is written anew, never changed.
REVOKE UPDATE, DELETE ON custody_notes FROM matside_service;

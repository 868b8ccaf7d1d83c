-- Entries say since now what they stand for. Those published before were all tasks; the next publication fills in the rest.
UPDATE published_task
SET entry = json_set(entry, '$.kind', 'task', '$.treatmentKey', json('null'), '$.progress', 'to-do')
WHERE json_extract(entry, '$.kind') IS NULL;

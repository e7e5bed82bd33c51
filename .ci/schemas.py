# Validates documents/NAME.jsonl against schemas/NAME.json with jsonschema.
import json
import sys

import jsonschema

bad = 0
for name in sys.argv[1:]:
    schema = json.load(open(f"schemas/{name}.json"))
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    count = 0
    for line in open(f"documents/{name}.jsonl"):
        count += 1
        document = json.loads(line)
        for error in list(validator.iter_errors(document))[:3]:
            bad += 1
            print(f"{name}: {document.get('score')}: {'/'.join(map(str, error.absolute_path))}: {error.message[:200]}")
    print(f"jsonschema: {name}: {count} documents")
    bad += count == 0
sys.exit(bad > 0)

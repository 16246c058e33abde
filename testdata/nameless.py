"""Takes the names of programs and persons, and days of making, out of the properties of workbooks.

    python3 nameless.py FILE...
"""
import shutil
import sys
import zipfile

HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
BARE = {
    "docProps/core.xml": '<cp:coreProperties xmlns:cp="http://schemas.openxmlformats.org/package/2006/metadata/core-properties"/>',
    "docProps/app.xml": '<Properties xmlns="http://schemas.openxmlformats.org/officeDocument/2006/extended-properties"/>',
    "meta.xml": '<office:document-meta xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" office:version="1.3"><office:meta/></office:document-meta>',
}

for name in sys.argv[1:]:
    with zipfile.ZipFile(name) as old, zipfile.ZipFile(name + ".new", "w", zipfile.ZIP_DEFLATED) as new:
        for member in old.infolist():
            data = (HEAD + BARE[member.filename]).encode() if member.filename in BARE else old.read(member)
            new.writestr(member, data, compress_type=member.compress_type)
    shutil.move(name + ".new", name)

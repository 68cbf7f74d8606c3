"""Codes that were minted. A row stays for good: a printed label may turn up years later."""

from piccolo.columns import BigInt, Varchar
from piccolo.table import Table


class LabelCode(Table, tablename="label_code"):
    """One minted code; `batch` names the print or the request it was minted for."""

    code = Varchar(length=8, primary_key=True)
    minted_at = BigInt()
    batch = Varchar(length=32, index=True)
    staff = Varchar(length=64)

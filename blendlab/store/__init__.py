"""The maker's folder: cards, lines, shelf, drafts, the book. The only room that writes files."""

from blendlab.store.atomic_write import file_stem, new_id
from blendlab.store.backup import (
    Backup,
    backup_name,
    backup_to_download,
    forget_download,
    make_backup,
    read_back,
)
from blendlab.store.binned import Binned, delete, delete_line, in_bin, put_back, restore
from blendlab.store.book import Book
from blendlab.store.book_batches import (
    BatchLine,
    BatchLog,
    BatchPage,
    Weighing,
    batch,
    batch_log,
    batches,
)
from blendlab.store.book_batches import Entry as BookEntry
from blendlab.store.book_complaints import (
    ComplaintLine,
    answer,
    complain,
    complaints,
    drills,
    keep_drill,
)
from blendlab.store.book_corrections import call_back, correct_entry
from blendlab.store.book_draws import drawn
from blendlab.store.book_entries import CALLED_BACK, FOR_SALE, TEST_JARS
from blendlab.store.book_errors import AlreadyWritten, Refused, Short
from blendlab.store.book_file import DamagedBook, book_fault, open_book
from blendlab.store.book_foam import foam_cups
from blendlab.store.book_lists import families
from blendlab.store.book_lots import LotLine, lot, lots, next_lots, stock, unread_lots, used
from blendlab.store.book_pieces import PIECES, draw_pieces, unit_of
from blendlab.store.book_rescue import Rescued, begin_anew, rescue
from blendlab.store.book_sales import (
    Jars,
    SaleLine,
    count_jars,
    jars_of,
    sale_lines,
    sales_since,
    sell,
    take_back,
)
from blendlab.store.book_tests import (
    ChallengeLine,
    TestedBatch,
    challenges,
    keep_for_tests,
    report_challenge,
    send_challenge,
    under_test,
)
from blendlab.store.book_trace import Found, Origin, Reach, backward, draws, forward, search, unnamed, unread
from blendlab.store.bring_in import Arrival, Step, bring_in, bring_in_bytes
from blendlab.store.cards import (
    Card,
    Saved,
    card_from,
    duplicate,
    has_card,
    open_card,
    picture_of,
    rename,
    save,
    save_as_copy,
)
from blendlab.store.documents import Damaged, read
from blendlab.store.draft import (
    Draft,
    drop_draft,
    forget_draft,
    load_drafts,
    open_draft,
    restore_draft,
    save_draft,
)
from blendlab.store.error_log import record as record_error
from blendlab.store.export import export
from blendlab.store.first_start import has_cards, lay_out
from blendlab.store.folder import Folder, default_folder, place, ready
from blendlab.store.lines import Line, SavedLine, lines, open_line, save_line, unread_lines
from blendlab.store.listing import Entry, listing
from blendlab.store.settings import read_settings, save_settings
from blendlab.store.shelf_items import (
    SavedItem,
    delete_item,
    open_item,
    read_shelf,
    save_item,
    shelf_stamp,
    unread_items,
)
from blendlab.store.verify import Looked, verify

__all__ = [
    "CALLED_BACK",
    "FOR_SALE",
    "PIECES",
    "TEST_JARS",
    "AlreadyWritten",
    "Arrival",
    "Backup",
    "BatchLine",
    "BatchLog",
    "BatchPage",
    "Binned",
    "Book",
    "BookEntry",
    "Card",
    "ChallengeLine",
    "ComplaintLine",
    "Damaged",
    "DamagedBook",
    "Draft",
    "Entry",
    "Folder",
    "Found",
    "Jars",
    "Line",
    "Looked",
    "LotLine",
    "Origin",
    "Reach",
    "Refused",
    "Rescued",
    "SaleLine",
    "Saved",
    "SavedItem",
    "SavedLine",
    "Short",
    "Step",
    "TestedBatch",
    "Weighing",
    "answer",
    "backup_name",
    "backup_to_download",
    "backward",
    "batch",
    "batch_log",
    "batches",
    "begin_anew",
    "book_fault",
    "bring_in",
    "bring_in_bytes",
    "call_back",
    "card_from",
    "challenges",
    "complain",
    "complaints",
    "correct_entry",
    "count_jars",
    "default_folder",
    "delete",
    "delete_item",
    "delete_line",
    "draw_pieces",
    "drawn",
    "draws",
    "drills",
    "drop_draft",
    "duplicate",
    "export",
    "families",
    "file_stem",
    "foam_cups",
    "forget_download",
    "forget_draft",
    "forward",
    "has_card",
    "has_cards",
    "in_bin",
    "jars_of",
    "keep_drill",
    "keep_for_tests",
    "lay_out",
    "lines",
    "listing",
    "load_drafts",
    "lot",
    "lots",
    "make_backup",
    "new_id",
    "next_lots",
    "open_book",
    "open_card",
    "open_draft",
    "open_item",
    "open_line",
    "picture_of",
    "place",
    "put_back",
    "read",
    "read_back",
    "read_settings",
    "read_shelf",
    "ready",
    "record_error",
    "rename",
    "report_challenge",
    "rescue",
    "restore",
    "restore_draft",
    "sale_lines",
    "sales_since",
    "save",
    "save_as_copy",
    "save_draft",
    "save_item",
    "save_line",
    "save_settings",
    "search",
    "sell",
    "send_challenge",
    "shelf_stamp",
    "stock",
    "take_back",
    "under_test",
    "unit_of",
    "unnamed",
    "unread",
    "unread_items",
    "unread_lines",
    "unread_lots",
    "used",
    "verify",
]

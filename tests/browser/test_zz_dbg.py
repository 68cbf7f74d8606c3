from tests.browser.test_people import *
def test_dbg(page, farm, other):
    add_person(page, farm, "Rui", RUI)
    there = paired(page, farm, other)
    there.get_by_role("button", name="Rui").click()
    f=there.get_by_role("textbox", name="PIN of Rui")
    f.wait_for(); print("start", repr(f.input_value()))
    for d in "999":
        there.get_by_role("button", name=d, exact=True).click(); there.wait_for_timeout(200); print(repr(f.input_value()))
    there.keyboard.press("1"); there.wait_for_timeout(200); print(repr(f.input_value()))

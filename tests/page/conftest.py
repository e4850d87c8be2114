import pytest
from pages import BARE, BOXED, Made, make, titled


@pytest.fixture(scope="session")
def made(tmp_path_factory):
    folder = tmp_path_factory.mktemp("page")
    texts = {"bare": titled("tumbler-bare.toml", BARE), "boxed": titled("tumbler-boxed.toml", BOXED)}
    done, jars = make(
        folder, texts, "-o", "jar.html", "--rooms", "18C:24C:3K", "--pours", "57C,60C,64C", "--workers", "1"
    )
    assert done.exit_code == 0, done.stderr
    return Made(file=folder / "jar.html", jars=jars, said=done.stderr)

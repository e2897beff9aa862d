"""
Words and codes by which the plant-based rule knows animal and plant foods.

Data, not logic: ``plant_based.py`` says in which order they are asked. Patterns are matched
against lower-case text. Three vocabularies matter: names that only sound animal, words that name an
animal or something made from one, and descriptions plain enough to be accepted outside the plant
food groups.
"""

from __future__ import annotations

import re


def words(*patterns: str) -> re.Pattern[str]:
    """
    Compile alternatives that match whole words.

    Parameters
    ----------
    *patterns : str
        Regular expressions, one a word or phrase.

    Returns
    -------
    re.Pattern of str
    """
    return re.compile(r"(?<![\w'])(?:" + "|".join(patterns) + r")(?![\w])")


def any_of(*patterns: str) -> re.Pattern[str]:
    """
    Compile alternatives that match anywhere.

    Parameters
    ----------
    *patterns : str
        Regular expressions.

    Returns
    -------
    re.Pattern of str
    """
    return re.compile("|".join(patterns))


ANIMAL_LANGUAL = {
    "H0143": "cheese added",
    "H0149": "honey added",
    "H0171": "poultry added",
    "H0184": "milk added",
    "H0185": "egg yolk added",
    "H0186": "egg added",
    "H0191": "meat added",
    "H0205": "egg white added",
    "H0260": "whey added",
    "H0262": "animal fat added",
    "H0271": "butter added",
    "H0296": "cream added",
    "H0748": "milk protein added",
    "B1125": "guinea fowl",
    "B1136": "swine",
    "B1161": "cattle",
    "B1198": "chicken",
    "B1201": "cow",
    "B1236": "turkey",
    "B1253": "goose",
    "B1304": "pigeon",
    "B1316": "duck",
    "B1346": "quail",
    "B1457": "chicken",
    "B1460": "pheasant",
    "B1710": "chicken",
    "B1711": "capon",
    "B1713": "hen",
    "C0170": "broth or stock",
    "C0193": "animal skin",
    "C0235": "milk",
}
"""LanguaL codes that name an animal source or ingredient, by exact code: COWPEA contains COW."""

UNCLEAR_LANGUAL = {
    "H0164": "protein of unstated origin added",
    "H0188": "breaded or coated with batter",
}

ONLY_SOUNDS_ANIMAL = words(
    r"coconut meat, dried \(desiccated\), creamed", r"coconut (?:meat|milk|cream)",
    r"expressed from grated meat(?: and water)?",
    r"(?:peanut|almond|cashew|cocoa|apple|sesame|ucuhuba|shea|nut|seed|fruit) butters?",
    r"nutmeg butter", r"non[- ]?dairy(?: butter flavor)?", r"cream soda", r"butterhead",
    r"butter ?beans?", r"butternuts?", r"butterbur", r"buttercup", r"hard butter",
    r"cream of (?:wheat|rice|tartar|rye)", r"cream[- ]style", r"egg ?plants?",
    r"oyster mushrooms?", r"mushrooms?, oyster", r"vegetable[- ]oyster", r"cowpeas?",
    r"lambs?'?s?[- ]?quarters?", r"beefsteak tomato(?:es)?", r"steak (?:fries|cut)",
    r"bread[- ]and[- ]butter", r"duck sauce", r"sauce, (?:duck|steak)",
    r"relish, (?:hamburger|hot ?dog)", r"horseradish(?:-tree)?", r"hearts? of palm",
    r"custard-apple", r"bullock'?s[- ]heart", r"poultry seasoning", r"meat extender",
    r"ice cream coatings", r"(?:soy|almond|rice|oat|hemp) ?milk", r"creamy (?:\w+ )?soymilk",
    r"(?:soy|tofu) yogurt", r"soybean, curd cheese", r"peanut butter[a-z0-9, -]*, creamy",
    r"summer, scallop", r"black turtle", r"vegetable broth", r"human breast milk",
    # Shapes and uses, not ingredients.
    r"rolls, hamburger(?: or hot ?dog)?", r"cookies, animal", r"animal crackers",
    r"oyster crackers", r"fish-shaped", r"egg rolls?", r"without meat or noodles",
    r"mayonnaise, made with tofu",
    # What a meat substitute stands in for is not in it; whether it is free of egg and milk is
    # another question, asked later.
    r"(?:bacon(?: bits)?|sausage|chicken|frankfurter|meatballs|luncheon slices), meatless",
    r"sandwich spread, meatless",
    r"meatless (?:chicken|corned beef|turkey|sausage|bacon)?",
    # "Without milk, whole milk added" still contains milk: only a closing phrase is believed.
    r"(?:without|no|made without) (?:milk|meat|eggs?|cheese|butter|beef|pork|chicken)"
    r"(?=$|, dry form$|, cooked$|\)$)",
)  # fmt: skip
"""Plant foods whose names contain an animal word; blotted out before animal words are sought."""

ANIMAL = words(
    r"\w*milk\w*", r"butter(?:ed|y|milk|scotch)?", r"cream(?:ed|er)?", r"\w*cheese\w*",
    r"cheddar", r"parmesan", r"mozzarella", r"ricotta", r"feta", r"queso", r"whey", r"casein\w*",
    r"yogh?urts?", r"kefir", r"ghee", r"lactose", r"dairy", r"au gratin", r"scalloped",
    r"alfredo", r"custards?", r"sherbet", r"ice creams?", r"renn(?:et|in)", r"whitener",
    r"half and half", r"eggs?", r"egg-?nog", r"mayonnaise", r"mayo", r"meringues?", r"souffl\w+",
    r"albumin", r"divinity", r"nougat", r"marshmallows?", r"gelatins?", r"meats?", r"meatballs?",
    r"meatloaf", r"beef\w*", r"steaks?", r"veal", r"pork", r"ham", r"bacon", r"sausages?",
    r"frankfurters?", r"franks?", r"hot ?dogs?", r"corn dogs?", r"hamburgers?", r"cheeseburgers?",
    r"salami", r"pepperoni", r"bologna", r"chorizo", r"pastrami", r"lard", r"tallow", r"suet",
    r"drippings?", r"pork skins?", r"cracklings?", r"lamb", r"mutton", r"goat", r"sheep",
    r"bison", r"buffalo", r"venison", r"deer", r"elk", r"moose", r"caribou", r"rabbit",
    r"squirrel", r"beaver", r"bear", r"opossum", r"raccoon", r"muskrat", r"owl", r"chicken\w*",
    r"turkey", r"ducks?", r"goose", r"geese", r"poultry", r"quail", r"pheasant", r"emu",
    r"ostrich", r"hen", r"fish\w*", r"\w*anchov\w+", r"tuna", r"salmon", r"cod", r"herring",
    r"menhaden", r"sardines?", r"trout", r"halibut", r"pike", r"sheefish", r"smelt", r"caviar",
    r"roe", r"surimi", r"shrimps?", r"crabs?", r"lobsters?", r"clams?", r"oysters?", r"mussels?",
    r"scallops?", r"squid", r"octopus", r"chitons?", r"cockles?", r"sea cucumber", r"sea lion",
    r"seal", r"whale", r"walrus", r"beluga", r"seafood", r"turtle", r"frog", r"snails?",
    r"worcestershire", r"broth", r"bouillon", r"consomme", r"stock", r"gravy", r"au jus",
    r"honey(?!dew)\w*", r"royal jelly", r"bee pollen", r"animal", r"blood", r"liver",
    r"kidney, (?:beef|pork|lamb)", r"tongue", r"tripe", r"marrow", r"stroganoff", r"akutaq",
    r"agutuk", r"lasagna", r"ravioli", r"tortellini", r"pizza", r"quiche", r"caesar",
    r"thousand island", r"blue cheese", r"roquefort", r"pate", r"shellac", r"carmine",
    r"cochineal",
)  # fmt: skip
"""Animals, their parts and products, and dishes that always contain one."""

UNCLEAR = words(
    r"refried", r"volteados", r"beans?, baked", r"baked beans", r"meatless", r"veggie",
    r"vegetarian", r"vegan", r"vege-burger", r"margarine\w*", r"spread", r"breaded",
    r"batter(?:ed)?", r"home[- ]prepared", r"pudding", r"kimchi", r"formulated", r"glazed",
    r"seasoning mix", r"canned, (?:all styles, )?seasoned", r"protein-fortified", r"tortilla mix",
    r"crunchy", r"ranch style", r"omega-3", r"smoothie", r"superfood", r"stew\w*", r"soup",
    r"salad", r"candied", r"creme(?! de menthe)", r"ranch", r"mayonnaise", r"sweet potato puffs",
    r"onion rings", r"fresh-refrigerated",
)  # fmt: skip
"""Classes whose recipes differ, or whose usual recipe has something animal in it."""

NOT_UNCLEAR = words(
    r"beans, baked, canned, plain or vegetarian", r"salad or cooking",
    r"refried beans, canned, (?:vegetarian|fat-free)", r"yeast extract spread",
    r"bacon bits, meatless", r"fruit salad", r"stewed", r"candied fruit", r"plant-based",
)  # fmt: skip
"""Members of those classes that say enough; blotted out before unclear classes are sought."""

HOME_PREPARED = words(r"home[- ]prepared")
VEGETABLE_FAT_LANGUAL = frozenset({"H0263", "H0334"})
"""LanguaL codes for a vegetable fat added or coated: the frying fat is not in doubt."""

FORTIFIED = words(
    r"fortified", r"enriched", r"enhanced", r"vitamins? a", r"vitamins a",
    r"added (?:\w+ )?vitamins?", r"added nutrients",
)  # fmt: skip
"""Where these stand, retinol may be the synthetic palmitate."""

VITAMIN_D2_BY_TRADE = words(
    r"soymilk", r"tofu", r"soy yogurt", r"almond milk", r"rice milk", r"coconut milk",
    r"mushrooms?", r"seaweed",
)  # fmt: skip
"""Foods whose vitamin D is ergocalciferol wherever the release states its form."""

PLAIN_BRANDED = words(
    r"tofu", r"soymilk", r"soy yogurt", r"tomato juice", r"vegetable juice", r"grapefruit juice",
    r"lemon juice from concentrate", r"pineapple juice", r"cranberry sauce",
    r"^rice, (?:brown|white)", r"^pasta, gluten-free", r"^seaweed", r"sliced peppers",
    r"green chilies",
)  # fmt: skip
"""Branded foods of the plant groups that are one plain food all the same."""

_FRUIT = (
    r"(?:apples?|applesauce|apricots?|bananas?|blackberr(?:y|ies)|blueberr(?:y|ies)|cherr(?:y|ies)"
    r"|cranberr(?:y|ies)|grapes?|guava|kiwi|mango|oranges?|papaya|peach(?:es)?|pears?|pineapple|plums?"
    r"|prunes?|raspberr(?:y|ies)|strawberr(?:y|ies)|mixed berries|berries)"
)
_VEGETABLE = (
    r"(?:beets|brown rice|butternut squash|carrots?|corn|green beans|peas|potatoes|squash"
    r"|sweet potato(?:es)?)"
)
_INFANT_PART = (
    rf"(?:{_FRUIT}|{_VEGETABLE}|fruit|vegetables?|juice|mixed|mix|garden|medley|tapioca|dices|strained"
    r"|junior|toddler|canned|with|and|without|no|sugar|calcium|ascorbic acid|vitamin c)"
)

PLAIN: dict[str, re.Pattern[str]] = {
    # Infant foods of fruit and vegetables alone: every word must be known.
    "0300": any_of(rf"^babyfood(?:[, -]+{_INFANT_PART})+$"),
    "0400": any_of(
        r"^(?:vegetable )?oil, (?!.*cooking spray)",
        r"^usda commodity food, oil, vegetable",
        r"^shortening\b.*(?:soy|palm|vegetable|cottonseed|coconut|corn)",
        r"^salad dressing, home recipe, vinegar and oil",
    ),
    "0600": any_of(
        r"\b(?:salsa|picante sauce|taco sauce|pico de gallo)\b",
        r"^sauce, (?:ready-to-serve, pepper|peppers, hot|chili, peppers, hot)",
        r"^sauce, (?:hot chile, sriracha|tomato chili sauce|(?:plum|duck), ready)",
        r"^sauce, peanut, made from",
        r"^wasabi$",
    ),
    "0800": any_of(
        r"^cereals, (?:corn grits|farina|oats|oat bran|whole wheat hot natural)",
        r"^cereals, cream of (?:wheat|rice)",
        r"^cereals, .*(?:corn grits, instant, plain|hominy grits|quick oats|multigrain oatmeal)",
        r"^cereals, .*(?:oat bran, (?:dry|prepared)|whole wheat natural|original, plain)",
        r"^cereals, .*(?:instant oatmeal organic, regular|farina hot wheat)",
        r"^cereals ready-to-eat, (?:rice|wheat), puffed",
        r"puffed (?:rice|wheat)$",
        r"^millet, puffed",
        r"shredded wheat(?:, original| n' bran|, bagged)",
        r"wheat germ, (?:toasted, plain|regular)",
        r"toasted wheat bran",
    ),
    "1400": any_of(
        r"^(?:beverages, )?water,",
        r"^beverages, water with",
        r"(?:spring|mineral|coconut) water",
        r"mineral bottled|water, bottled",
        r"\btea, (?:black|green|oolong|herb|hibiscus|instant|ready)",
        r"^beverages, coffee, (?:brewed|instant, (?:regular|decaffeinated|chicory|with chicory))",
        r"^beverages, coffee substitute, cereal grain beverage",
        r"carbonated|\bcola\b|soft drink",
        r"^alcoholic beverages?, (?:distilled|beer|wine|malt beer|rice \(sake\))",
        r"^alcoholic beverage, liqueur, coffee, \d",
        r"^alcoholic beverage, (?:creme de menthe|daiquiri|tequila sunrise)",
        r"^alcoholic beverage, whiskey sour(?:$|, canned|, prepared from item)",
        r"^(?:beverages, )?whiskey sour mix, bottled",
        r"hard cider|^malt beverage|malt liquor|wine, non-alcoholic",
        r"lemonade|limeade|\bpunch\b|\bcran(?:berry)?\b|\bjuices, ",
        r"\bjuice (?:drinks?|cocktail|blend)\b",
        r"\b(?:apple|orange|cranberry|fruit|vegetable)(?: and \w+)? juices?\b",
        r"(?:orange|grape) drink|breakfast drink|flavor(?:ed)? drink",
        r"(?:rice|coconut) milk, |almond milk",
    ),
    "1800": any_of(
        r"^bread, pita",
        r"^tortillas, ready-to-bake",
        r"^taco shells, baked",
        r"^tostada shells, corn",
        r"^crackers, (?:matzo, (?:plain|whole-wheat)|crispbread, rye|rye, wafers, plain)",
        r"^crackers, water biscuits",
        r"^phyllo dough",
        r"^leavening agents",
    ),
    "1900": any_of(
        r"^sugars?, |^molasses|^fruit syrup",
        r"^syrups?, (?:agave|cane|corn|fruit|grenadine|malt|maple|sorghum|sugar free|table blends)",
        r"^sweeteners?, (?:syrup, agave|for baking|herbal extract|sugar substitute)",
        r"^sweeteners?, tabletop, (?:fructose|saccharin)",
        r"^jams|^jellies|^marmalade|^fruit butters|^pectin|^gums, seed gums",
        r"^cocoa, dry powder|^baking chocolate, unsweetened",
        r"^candies, (?:hard|gumdrops, starch jelly)",
        r"^pie fillings, ",
        r"^toppings, (?:strawberry|pineapple|nuts in syrup)",
        r"^frozen novelties, (?:ice type, (?:fruit|lime|italian|pop)|juice type, orange)",
        r"^frozen novelties, fruit and juice bars",
        r"^snacks, fruit leather",
    ),
    "2100": any_of(r"^fast foods, potato, french fried in vegetable oil"),
    "2500": any_of(
        r"^snacks, popcorn, (?:air-popped|cakes|oil-popped, white)",
        r"^snacks, popcorn, home-prepared, oil-popped, unsalted",
        r"^snacks, corn-based, extruded, (?:chips, (?:plain|unsalted)|cones, plain)",
        r"^snacks, (?:corn cakes|rice cakes|rice cracker|fruit leather|potato sticks)",
        r"^snacks, (?:banana|brown rice|plantain|sweet potato|taro|vegetable) chips",
        r"^snacks, yucca",
        r"^snacks, trail mix, regular(?:$|, unsalted)",
        r"^snacks, pretzels, hard, (?:plain|whole-wheat)",
        r"^snacks, sesame sticks, wheat-based",
        r"^rice cakes?, |^rice crackers",
        r"^(?:snacks?, )?tortilla chips, (?:plain|yellow, plain|low fat|unsalted|light)",
        r"^(?:snacks?, )?potato chips, (?:plain|reduced fat|lightly salted|fat[- ]free)",
        r"^(?:snacks?, )?potato chips, (?:without salt|white, restructured|made from dried)",
    ),
    "3500": any_of(
        r"^(?:black|blue|cloud|cran|huckle|salmon|rasp)berr(?:y|ies)",
        r"^(?:agave|cattail|chokecherries|fireweed|lambsquarters|mashu roots|melon|mouse nuts)",
        r"^(?:hazelnuts|pinon nuts|plums|prairie turnips|prickly pears|rhubarb|rose hips|sourdock)",
        r"^(?:squash|stinging nettles|tea, |willow, young leaves|wocas)",
        r"^(?:cornmeal|corn, (?:dried|white, steamed)|mush, blue corn)",
    ),
}
"""Descriptions plain enough to be accepted, by food group outside the plant groups."""

FLAVOURED = words(
    r"flavor(?:ed|s)?", r"caramel", r"chocolate", r"frosted", r"nacho", r"barbecue", r"onion",
    r"sour", r"vanilla", r"protein",
)  # fmt: skip
"""Words that take the plainness away again: a flavouring may carry milk."""

SPOILERS = {
    "1400": words(r"pina colada", r"smoothies?", r"energy", r"mocha", r"protein"),
    "1900": words(r"caramel", r"(?<!baking )chocolate", r"vanilla", r"coconut"),
}
"""What takes it away in groups where a flavour is the nature of the food."""

PROCESS_UNKNOWN = {
    "1400": re.compile(r"\b(?:beer|wine|cider|malt beverage|malt liquor)\b"),
    "1900": re.compile(r"^(?:sugars?, |molasses|jams|jellies|marmalade)"),
}
"""Foods plant-based by composition whose fining agent or refining aid the release cannot tell."""
